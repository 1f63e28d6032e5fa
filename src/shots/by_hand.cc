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

// One length square to a tag's face, or to a ring or a tube of tags.
bool is_stand_off(const Way& way) {
  if (const auto* offset = std::get_if<TagOffset>(&way))
    return offset->offset_tag_mm.x() == 0.0 && offset->offset_tag_mm.y() == 0.0;
  return std::holds_alternative<TagRing>(way) || std::holds_alternative<TagTube>(way);
}

MeasuredByHand described(const HardpointRecipe& recipe, const Hardpoint& point, double sigma_mm) {
  const auto* offset = std::get_if<TagOffset>(&recipe.way);
  return {(is_stand_off(recipe.way) ? "stand-off of the " : "place of the ") + workshop_words(point.name),
          point.way, offset ? offset->tag : -1, sigma_mm};
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
    const HardpointRecipe& recipe = question.located.recipes[i];
    if (recipe.motion || std::holds_alternative<ByMotion>(recipe.way)) continue;
    const Index at = 3 * static_cast<Index>(i);
    const double variance = by_points.middleCols<3>(at).cwiseProduct(with_all.middleCols<3>(at)).sum();
    if (variance > worth_naming * all) parts.push_back(described(recipe, set.points[i], std::sqrt(variance)));
  }
  std::stable_sort(parts.begin(), parts.end(),
                   [](const MeasuredByHand& a, const MeasuredByHand& b) { return a.sigma_mm > b.sigma_mm; });
  return parts;
}

}  // namespace pivotfix
