// SPDX-License-Identifier: Apache-2.0
// Two measurements of a corner beside each other: before and after new parts, or left and right. Which pivots
// moved, by more than chance explains, and what that did to mismatch, toe curve and camber.
#pragma once

#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "advice/advice.h"
#include "compare/congruence.h"
#include "hardpoints/hardpoint_set.h"

namespace pivotfix {

enum class Alignment {
  axes,       // both in their own vehicle axes
  body_tags,  // laid over each other on the tags that stayed on the body
};

// A pivot that was worked on, as the user says; when any is named, all others are said to have stayed.
struct SaidTouched {
  std::string pivot{};
  std::optional<Eigen::Vector3d> direction_vehicle{};  // it can only have moved along this
  std::string direction_words{};                       // "along z", "along the stud"
};

struct CompareOptions {
  double false_alarms = 0.05;  // of two measurements of an unchanged corner, the share with any alarm
  bool on_axes = false;        // even when both carry body tags
  // Standard uncertainty of each coordinate of a set that has none; zero: nothing is judged then.
  double assumed_sigma_mm = 0.0;
  std::vector<SaidTouched> touched{};
};

// How the second set was laid over the first.
struct Overlay {
  Alignment alignment = Alignment::axes;
  std::vector<int> tags{};      // that carried it
  std::vector<int> left_out{};  // common tags that no longer fit: moved or stuck anew
  double rms_mm = 0.0;          // of the tags that carried it, 3-D
};

struct Shift {
  std::string name{};
  Eigen::Vector3d shift_mm = Eigen::Vector3d::Zero();        // second minus first, axes of the first
  Eigen::Matrix3d covariance_mm2 = Eigen::Matrix3d::Zero();  // zero when not known
  bool reference = false;                                    // said to have stayed: not judged by itself
  std::string direction_words{};                             // when it can only have moved along one
  Verdict verdict{};

  Eigen::Vector3d sigma_mm() const { return covariance_mm2.diagonal().cwiseSqrt(); }
  // Helmert's point error: root of the three variances' sum.
  double point_sigma_mm() const;
  // Of the shift's length (JCGM 100, 5.2); of a shift of no length: the point error.
  double length_sigma_mm() const;
};

// A figure before, after and its change. The change's uncertainty counts both measurements as independent.
struct BeforeAfter {
  Uncertain before{}, after{}, change{};
};

struct CornerChange {
  BeforeAfter arm_angle_rad{}, link_angle_rad{}, mismatch_rad{}, effective_mismatch_rad{};
  BeforeAfter toe_rad{}, camber_rad{};  // as read, with uncertainty where photos did; NaN where nobody did
  BeforeAfter caster_rad{}, inclination_rad{};
  BeforeAfter best_height_mm{};  // of the rod end, against where it is in that measurement
  bool best_height_found = false;
  BeforeAfter one_inch_toe_rad{};  // toe change in the first inch of bump
  BeforeAfter camber_gain_rad{};   // camber change in the first inch of bump
  ToeCurve toe_before{}, toe_after{};
  // Change since ride height, at the curves' travel.
  std::vector<double> camber_before_rad{}, camber_after_rad{};
  std::vector<double> camber_before_sigma_rad{}, camber_after_sigma_rad{};
};

struct Comparison {
  HardpointSet before{}, after{};  // the second laid over the first, mirrored where sides differ
  bool mirrored = false;
  Overlay overlay{};
  bool judged = false;        // false: no uncertainties
  bool touched_only = false;  // those said to be touched were judged, the others held their places
  CompareOptions options{};
  Verdict together{};  // all that was judged, at once
  std::vector<Shift> shifts{};
  std::optional<CornerChange> corner{};
  std::vector<std::string> notes{};  // for people
};

// Each set is first brought to its recorded ride height where it has one. Throws Problem(refused) when the
// sets have no pivot in common or are of different layouts, Problem(input) for a touched pivot that neither
// has.
Comparison compare(const HardpointSet& before, const HardpointSet& after, const CompareOptions& options = {});

}  // namespace pivotfix
