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

// What to measure again, and how much of the pivot's variance that is.
struct Stated {
  std::string words{};
  double part = 1.0;
};

// The stand-off counts along the tag's normal, how well the tag sits centred across it. Measuring the smaller
// again would hardly help.
Stated larger_of(const TagOffset& offset, const std::string& joint, const MatrixXd& rows_by_stated) {
  const auto variance = [](const auto& rows, double sigma_mm) {
    return rows.squaredNorm() * sigma_mm * sigma_mm;
  };
  const double along = variance(rows_by_stated.rightCols<1>(), offset.sigma_mm);
  const double across = variance(rows_by_stated.leftCols<2>(), *offset.centring_sigma_mm);
  if (across > along) return {"how well the tag sits centred over " + joint, across / (along + across)};
  return {"the stand-off of " + joint, along > 0.0 ? along / (along + across) : 1.0};
}

Stated stated(const HardpointRecipe& recipe, const MatrixXd& rows_by_stated) {
  const std::string joint = "the " + workshop_words(recipe.name);
  if (!is_stand_off(recipe.way)) return {"the place of " + joint};
  const auto* offset = std::get_if<TagOffset>(&recipe.way);
  if (offset && offset->centring_sigma_mm) return larger_of(*offset, joint, rows_by_stated);
  return {"the stand-off of " + joint};
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
    if (variance <= worth_naming * all) continue;
    const Stated named = stated(recipe, by_points * question.located.by_stated.middleCols<3>(at));
    const auto* offset = std::get_if<TagOffset>(&recipe.way);
    parts.push_back(
        {named.words, set.points[i].way, offset ? offset->tag : -1, std::sqrt(named.part * variance)});
  }
  std::stable_sort(parts.begin(), parts.end(),
                   [](const MeasuredByHand& a, const MeasuredByHand& b) { return a.sigma_mm > b.sigma_mm; });
  return parts;
}

}  // namespace pivotfix
