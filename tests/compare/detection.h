// SPDX-License-Identifier: Apache-2.0
// How often `compare` is right about simulated measurements whose shifts are known; for the table of
// docs/accuracy.md and the test that holds it. All cars are invented. What a measurement's errors are is
// known here; that two sessions on a real car err independently is not proved.
#pragma once

#include <functional>

#include "compare/compare.h"
#include "compare/made_up_measurements.h"

namespace pivotfix {

struct Setting {
  const char* words = "";
  HardpointSet truth{};
  Eigen::MatrixXd covariance_mm2{};  // of one measurement: pivots, then tags
};

inline HardpointSet with_tags(HardpointSet set) {
  set.body_tags.numbers = {70, 71, 72, 73, 74, 75};
  set.body_tags.centres_vehicle_mm = {{310, 330, 420}, {-290, 350, 480}, {20, 300, 690},
                                      {220, 520, 760}, {-240, 540, 720}, {30, 420, 330}};
  return set;
}

inline std::vector<Eigen::Vector3d> all_positions(const HardpointSet& set) {
  std::vector<Eigen::Vector3d> positions = positions_of(set);
  positions.insert(positions.end(), set.body_tags.centres_vehicle_mm.begin(),
                   set.body_tags.centres_vehicle_mm.end());
  return positions;
}

inline std::vector<Setting> settings() {
  const HardpointSet plain = strut_set(), tagged = with_tags(strut_set());
  return {{"each pivot errs by itself", plain, made_up_covariance(positions_of(plain), 0.3, false)},
          {"an error of the axes too", plain, made_up_covariance(positions_of(plain), 0.3, true)},
          {"the same, on six body tags", tagged, made_up_covariance(all_positions(tagged), 0.3, true)}};
}

// Two measurements of one corner, with what was done to it between them.
class Sessions {
 public:
  Sessions(const Setting& setting, int draws, unsigned seed)
      : setting_(setting), draws_(draws), bench_(seed) {
    HardpointSet quiet = setting.truth;
    const auto n = static_cast<Eigen::Index>(3 * quiet.points.size());
    quiet.covariance_mm2 = setting.covariance_mm2.topLeftCorner(n, n);
    if (!quiet.body_tags.numbers.empty())
      quiet.body_tags.covariance_mm2 = setting.covariance_mm2.bottomRows(setting.covariance_mm2.rows() - n);
    stated_ = compare(quiet, quiet).shifts;
  }

  // `change` gets the true corner before the second measurement; `count` says how many times what is counted
  // happened out of how many.
  Share share(const std::function<void(HardpointSet&)>& change,
              const std::function<Share(const Comparison&)>& count, const CompareOptions& options = {}) {
    Share sum;
    for (int i = 0; i < draws_; ++i) {
      HardpointSet truth = setting_.truth;
      const HardpointSet before = bench_.measured(truth, setting_.covariance_mm2);
      change(truth);
      const Share one = count(compare(before, bench_.measured(truth, setting_.covariance_mm2), options));
      sum.times += one.times;
      sum.of += one.of;
    }
    return sum;
  }

  // Stated for the shift of a pivot, by its place in the set.
  const Shift& stated(std::size_t pivot) const { return stated_.at(pivot); }
  Workbench& bench() { return bench_; }

  // Three standard deviations: as long as three point errors, any direction.
  Eigen::Vector3d three_point_errors(std::size_t pivot) {
    return 3.0 * stated(pivot).point_sigma_mm() * bench_.direction();
  }
  // Along one coordinate.
  Eigen::Vector3d three_sigma_along(std::size_t pivot, Eigen::Index coordinate) {
    return 3.0 * stated(pivot).sigma_mm()[coordinate] * Eigen::Vector3d::Unit(coordinate);
  }

 private:
  const Setting& setting_;
  int draws_;
  Workbench bench_;
  std::vector<Shift> stated_{};
};

inline void leave_alone(HardpointSet&) {}

inline Share once(bool happened) {
  return {happened ? 1 : 0, 1};
}

inline Share any_alarm(const Comparison& comparison) {
  bool alarm = comparison.together.movement == Movement::surely;
  for (const Shift& shift : comparison.shifts) alarm = alarm || shift.verdict.movement == Movement::surely;
  return once(alarm);
}

// Pivots that are at least "perhaps", of all.
inline Share suspects(const Comparison& comparison) {
  Share share{0, static_cast<int>(comparison.shifts.size())};
  for (const Shift& shift : comparison.shifts) share.times += shift.verdict.alone <= 0.05 ? 1 : 0;
  return share;
}

inline Share any_suspect(const Comparison& comparison) {
  return once(suspects(comparison).times > 0);
}

inline constexpr std::size_t link_outer_joint = 6;  // in the strut set

inline Share link_is_named(const Comparison& comparison) {
  return once(comparison.shifts[link_outer_joint].verdict.movement == Movement::surely);
}

inline Share link_is_suspect(const Comparison& comparison) {
  return once(comparison.shifts[link_outer_joint].verdict.movement != Movement::none);
}

// Of all pivots, when all moved.
inline Share named(const Comparison& comparison) {
  Share share{0, static_cast<int>(comparison.shifts.size())};
  for (const Shift& shift : comparison.shifts)
    share.times += shift.verdict.movement == Movement::surely ? 1 : 0;
  return share;
}

inline CompareOptions link_touched(const std::optional<Eigen::Vector3d>& direction) {
  CompareOptions options;
  options.touched = {{"link_outer_joint", direction, "along z"}};
  return options;
}

}  // namespace pivotfix
