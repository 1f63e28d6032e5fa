// SPDX-License-Identifier: Apache-2.0
#include "shots/by_hand.h"

#include <algorithm>
#include <cmath>

#include "hardpoints/workshop_words.h"

namespace pivotfix {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;

constexpr double worth_naming = 0.1;  // of the variance

std::string words_for(const Hardpoint& point) {
  const bool stand_off =
      point.way.find(" mm behind") != std::string::npos || point.way.find(" mm before") != std::string::npos;
  return (stand_off ? "stand-off of the " : "place of the ") + workshop_words(point.name);
}

}  // namespace

std::vector<MeasuredByHand> measured_by_hand(const ShotQuestion& question, const MatrixXd& by_points) {
  const HardpointSet& set = question.located.hardpoints;
  const MatrixXd& by_tags = question.located.by_tags;
  const MatrixXd from_tags = by_tags * question.network.tag_covariance * by_tags.transpose();
  const MatrixXd by_hand = set.covariance_mm2 - from_tags;
  const MatrixXd with_all = by_points * by_hand;
  const double all = (by_points * set.covariance_mm2 * by_points.transpose()).trace();
  std::vector<MeasuredByHand> parts;
  for (std::size_t i = 0; i < set.points.size(); ++i) {
    // Of two ways that agree, neither can be told to be the doubtful one.
    if (set.points[i].way.find("motion") != std::string::npos) continue;
    const Index at = 3 * static_cast<Index>(i);
    const double variance = by_points.middleCols<3>(at).cwiseProduct(with_all.middleCols<3>(at)).sum();
    if (variance > worth_naming * all)
      parts.push_back({words_for(set.points[i]), set.points[i].way, std::sqrt(variance)});
  }
  std::stable_sort(parts.begin(), parts.end(),
                   [](const MeasuredByHand& a, const MeasuredByHand& b) { return a.sigma_mm > b.sigma_mm; });
  return parts;
}

}  // namespace pivotfix
