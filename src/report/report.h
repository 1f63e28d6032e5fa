// SPDX-License-Identifier: Apache-2.0
// What a person sees. One HTML file without any outside reference, answer first, and the same
// answer as plain text for the terminal. Pure functions: values in, text out; no clock, no files.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "advice/advice.h"
#include "advice/explore.h"
#include "advice/what_if.h"
#include "base/units.h"
#include "corner/corner_figures.h"
#include "corner/floor_slope.h"
#include "hardpoints/hardpoint_set.h"
#include "locate/locate_hardpoints.h"
#include "network/calibrate_lens.h"
#include "network/network.h"
#include "network/tags_in_photos.h"
#include "photos/thumbnail.h"
#include "shots/shots.h"

namespace pivotfix {

// How the car stood in each set of photos, and what its axes rest on.
struct PhotoSetFigures {
  std::vector<WheelReading> wheel{};
  std::vector<RideHeightReading> ride_height{};
  CentrePlane centre_plane{};
  std::optional<FloorSlope> floor_slope{};  // where the pivots make a corner
};

struct ReportInput {
  std::string title{};
  std::string program_version{};
  LengthUnit unit = LengthUnit::millimetre;
  HardpointSet hardpoints{};
  RodEnd rod_end{};
  Advice advice{};
  std::optional<Exploration> exploration{};  // for the page's sliders; absent: none
  std::vector<WhatIf> what_ifs{};
  std::optional<Sweep> sweep{};
  std::optional<CornerFigures> figures{};  // of `hardpoints`, over figure_travels_mm
  std::optional<ShotPlan> next_shots{};
  std::optional<PhotoSetFigures> photo_sets{};            // absent like the network
  std::vector<std::string> notes{};                       // what locating the pivots met
  std::optional<Network> network{};                       // absent when the hardpoints were read from a file
  std::vector<std::vector<TagInPhoto>> tags_in_photos{};  // for each station of the network; may be absent
  std::map<std::string, Thumbnail> thumbnails{};          // of the network's photos, by their names
};

// Text from users is escaped; nothing in it is executed.
std::string report_html(const ReportInput& input);

// The contour plots of a sweep as a picture of its own.
std::string contour_svg(const Sweep& sweep, LengthUnit unit);

// The whole answer for the terminal: answer, mismatch, toe table, stack, warnings, cautions.
std::string steer_text(const ReportInput& input);

// Travels for CornerFigures: fine enough for pictures, with those that the tables show.
std::vector<double> figure_travels_mm(const Travel& travel, LengthUnit unit);

// All figures as tables for the terminal, and as CSV: figures over travel, and both wheels in roll and in
// steering. CSV is in mm and degrees always; toe also in mm and inches over the wheel's rim. Toe and camber
// that nobody entered count from zero.
std::string figures_text(const CornerFigures& figures, const WheelSetting& wheel, LengthUnit unit);
std::string figures_csv(const CornerFigures& figures, const WheelSetting& wheel);
std::string axle_csv(const CornerFigures& figures);

// Where to stand for the next photos, for `shots`.
std::string shots_text(const ShotPlan& plan, LengthUnit unit);

// A lens' verdict and numbers, and which part of its picture the photos covered, for `lens`.
std::string lens_text(const LensCalibration& calibration);
std::string coverage_svg(const LensCalibration& calibration, const std::vector<BoardView>& views);

// Hardpoints with uncertainties, and how good the network is, for `locate`.
std::string locate_text(const HardpointSet& hardpoints, const Network& network, LengthUnit unit);
// Its second part alone: how well photos and tags fit together, and what to look at again.
std::string network_text(const Network& network, LengthUnit unit);

// How the car stood in the sets of photos, below it.
std::string photo_sets_text(const PhotoSetFigures& figures, LengthUnit unit);

}  // namespace pivotfix
