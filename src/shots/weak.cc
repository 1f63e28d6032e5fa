// SPDX-License-Identifier: Apache-2.0
#include "shots/weak.h"

#include <algorithm>
#include <cmath>

#include "base/length_words.h"
#include "base/units.h"
#include "hardpoints/workshop_words.h"
#include "shots/tag_rules.h"

namespace pivotfix {

namespace {

using Eigen::Index;
using Eigen::MatrixXd;

// Variance that the network's tags bring into a point, and the tag that brings most of it.
struct Origin {
  double from_tags_mm2 = 0.0;
  int tag = -1;  // index into Network::tags
};

Origin origin_of(const ShotQuestion& question, std::size_t point) {
  const Network& network = question.network;
  const MatrixXd rows = question.located.by_tags.middleRows<3>(3 * static_cast<Index>(point));
  Origin origin;
  origin.from_tags_mm2 = (rows * network.tag_covariance * rows.transpose()).trace();
  double most = 0.0;
  for (std::size_t i = 0; i < network.tags.size(); ++i) {
    const Index at = 6 * static_cast<Index>(i);
    const auto own = rows.middleCols<6>(at);
    const double variance = (own * network.tag_covariance.block<6, 6>(at, at) * own.transpose()).trace();
    if (variance <= most) continue;
    most = variance;
    origin.tag = static_cast<int>(i);
  }
  return origin;
}

bool in_few_photos(const TagInSpace& tag) {
  return tag.photos < fewest_photos_of(tag);
}

// A tag that no pivot and no length rests on may be seen as seldom as it likes.
bool matters(const ShotQuestion& question, std::size_t tag) {
  if (!question.network.tags[tag].set.empty()) return true;  // on a part that moves
  const auto by_tag = question.located.by_tags.middleCols<6>(6 * static_cast<Index>(tag));
  const int number = question.network.tags[tag].number;
  const std::vector<ScaleBarResult>& bars = question.network.scale_bars;
  return !by_tag.isZero(0.0) || std::any_of(bars.begin(), bars.end(), [&](const ScaleBarResult& result) {
    return result.bar.from_tag == number || result.bar.to_tag == number;
  });
}

std::string few_photos_of(const TagInSpace& tag) {
  return "only " + std::to_string(tag.photos) + " photos show tag " + name_of(tag) + "; take " +
         std::to_string(std::max(1, fewest_photos_of(tag) - tag.photos)) +
         " more that show it, from where it faces";
}

std::string narrow_view_of(const TagInSpace& tag) {
  return "tag " + name_of(tag) + " was seen from within " +
         format_fixed(deg_from_rad(tag.widest_angle_rad), 0) + " degrees only; go further round it";
}

std::string reason_of(const ShotQuestion& question, std::size_t point) {
  const Origin origin = origin_of(question, point);
  const Index at = 3 * static_cast<Index>(point);
  const double all = question.located.hardpoints.covariance_mm2.block<3, 3>(at, at).trace();
  if (origin.tag < 0 || origin.from_tags_mm2 < 0.5 * all)
    return "that comes from what was measured by hand (stand-off, how well the tag sits centred, tape, or "
           "the line along the car), not from the photos; measure that again";
  const TagInSpace& tag = question.network.tags[origin.tag];
  if (in_few_photos(tag)) return few_photos_of(tag);
  if (deg_from_rad(tag.widest_angle_rad) < smallest_widest_angle_deg) return narrow_view_of(tag);
  return "it hangs on tag " + name_of(tag) + "; a photo nearer to that tag helps most";
}

}  // namespace

std::size_t weakest_point(const HardpointSet& set) {
  std::size_t weakest = 0;
  double most = -1.0;
  for (std::size_t i = 0; i < set.points.size(); ++i) {
    const auto at = 3 * static_cast<Index>(i);
    const double variance = set.covariance_mm2.block<3, 3>(at, at).trace();
    if (variance <= most) continue;
    most = variance;
    weakest = i;
  }
  return weakest;
}

namespace {

// Photos with the phone upright and with it on its side tell the lens' middle apart from where the phone was.
std::string one_sided_roll(const ShotQuestion& question) {
  constexpr double fewest_of_a_kind = 0.2;  // of all photos; common practice is half of them turned
  constexpr int fewest_to_judge = 6;
  int upright = 0, across = 0;
  for (const Station& station : question.network.stations) {
    if (!station.used) continue;
    const Eigen::Matrix3d vehicle_from_camera =
        (question.located.vehicle_from_network.rotation * station.network_from_camera.rotation)
            .toRotationMatrix();
    // Some programs turn the picture itself: its rows are not always the phone's long side.
    const LensEstimate& lens = question.network.lenses[station.lens];
    const bool rows_are_long = lens.width_px >= lens.height_px;
    const bool rows_are_upright = std::abs(vehicle_from_camera(2, 0)) > std::abs(vehicle_from_camera(2, 1));
    ++(rows_are_upright == rows_are_long ? upright : across);
  }
  const int all = upright + across;
  if (all < fewest_to_judge || std::min(upright, across) >= fewest_of_a_kind * all) return {};
  return std::to_string(std::max(upright, across)) + " of " + std::to_string(all) +
         " photos have the phone " + (upright > across ? "upright" : "on its side") + ": take some with it " +
         (upright > across ? "on its side" : "upright") + ", that tells the lens better.";
}

}  // namespace

std::vector<std::string> weak_places(const ShotQuestion& question) {
  std::vector<std::string> weak;
  const HardpointSet& set = question.located.hardpoints;
  if (set.covariance_mm2.size() > 0 && !set.points.empty()) {
    const std::size_t point = weakest_point(set);
    const auto at = 3 * static_cast<Index>(point);
    weak.push_back("Weakest pivot: " + workshop_words(set.points[point].name) + ", \xC2\xB1 " +
                   length_words(std::sqrt(set.covariance_mm2.block<3, 3>(at, at).trace()), 3) + "; " +
                   reason_of(question, point) + ".");
  }
  std::string few;
  for (std::size_t i = 0; i < question.network.tags.size(); ++i) {
    const TagInSpace& tag = question.network.tags[i];
    if (in_few_photos(tag) && matters(question, i)) few += (few.empty() ? "" : ", ") + name_of(tag);
  }
  if (!few.empty())
    weak.push_back("Too few photos show these tags: " + few + ". Take one or two more that show each, " +
                   "standing where the tag faces and an arm's length away.");
  if (const std::string roll = one_sided_roll(question); !roll.empty()) weak.push_back(roll);
  return weak;
}

}  // namespace pivotfix
