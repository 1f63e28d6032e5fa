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

// Of the inputs from `first` on, what they bring into the rows' variance.
double variance_by(const Located& located, const MatrixXd& rows, Index first, Index count) {
  const auto own = rows.middleCols(first, count);
  return (own * located.stated_covariance.block(first, first, count, count) * own.transpose()).trace();
}

// One figure for a pivot, or two: a stand-off counts along the tag's normal, how well the tag sits centred
// across it.
std::vector<MeasuredByHand> of_pivot(const ShotQuestion& question, const MatrixXd& rows, std::size_t point) {
  const Located& located = question.located;
  const HardpointRecipe& recipe = located.recipes[point];
  const std::string joint = "the " + workshop_words(recipe.name);
  const std::string& way = located.hardpoints.points[point].way;
  const auto* offset = std::get_if<TagOffset>(&recipe.way);
  const int tag = offset ? offset->tag : -1;
  const Index first = 3 * static_cast<Index>(point);
  const auto sigma_mm = [&](Index from, Index count) {
    return std::sqrt(variance_by(located, rows, first + from, count));
  };
  if (offset && offset->centring_sigma_mm && is_stand_off(recipe.way))
    return {{"the stand-off of " + joint, way, tag, sigma_mm(2, 1)},
            {"how well the tag sits centred over " + joint, way, tag, sigma_mm(0, 2)}};
  return {
      {(is_stand_off(recipe.way) ? "the stand-off of " : "the place of ") + joint, way, tag, sigma_mm(0, 3)}};
}

// All lengths grow alike with those of the strips, as well as these are known together.
std::vector<MeasuredByHand> of_strips(const ShotQuestion& question, const MatrixXd& by_points) {
  const Network& network = question.network;
  double weight = 0.0;  // of a scale's relative error
  for (const ScaleBarResult& result : network.scale_bars)
    weight += std::pow(result.bar.length_mm / result.bar.sigma_mm, 2);
  if (!(weight > 0.0) || !std::isfinite(weight)) return {};
  Eigen::VectorXd grown = Eigen::VectorXd::Zero(question.located.by_tags.cols());
  for (std::size_t i = 0; i < network.tags.size(); ++i)
    grown.segment<3>(6 * static_cast<Index>(i)) = network.tags[i].network_from_tag.translation_mm;
  const Eigen::VectorXd by_scale = by_points * (question.located.by_tags * grown);
  const bool one = network.scale_bars.size() == 1;
  return {{one ? "the length of the scale strip" : "the lengths of the scale strips", "", -1,
           by_scale.norm() / std::sqrt(weight), true}};
}

}  // namespace

std::vector<MeasuredByHand> measured_by_hand(const ShotQuestion& question, const MatrixXd& by_points) {
  const Located& located = question.located;
  const MatrixXd rows = by_points * located.by_stated;
  std::vector<MeasuredByHand> parts;
  for (std::size_t i = 0; i < located.recipes.size(); ++i) {
    // Of two ways that agree, neither can be told to be the doubtful one.
    if (located.recipes[i].motion || std::holds_alternative<ByMotion>(located.recipes[i].way)) continue;
    for (const MeasuredByHand& part : of_pivot(question, rows, i)) parts.push_back(part);
  }
  for (const MeasuredByHand& part : of_strips(question, by_points)) parts.push_back(part);
  for (const StatedBesides& besides : located.stated_besides)
    parts.push_back(
        {besides.words, "", -1, std::sqrt(variance_by(located, rows, besides.first, besides.count))});
  const double all = (by_points * located.hardpoints.covariance_mm2 * by_points.transpose()).trace();
  std::erase_if(
      parts, [&](const MeasuredByHand& part) { return part.sigma_mm * part.sigma_mm <= worth_naming * all; });
  std::stable_sort(parts.begin(), parts.end(),
                   [](const MeasuredByHand& a, const MeasuredByHand& b) { return a.sigma_mm > b.sigma_mm; });
  return parts;
}

}  // namespace pivotfix
