// SPDX-License-Identifier: Apache-2.0
#include "advice/shares.h"

#include <algorithm>
#include <cmath>

#include "hardpoints/workshop_words.h"

namespace pivotfix {
namespace {

constexpr const char* coordinate_words[] = {"place along the car", "place across the car", "height"};

}  // namespace

std::vector<HeightShare> height_shares(const Corner& corner, const BestHeight& best) {
  if (corner.covariance_mm2.size() == 0 || !(best.sigma_mm > 0.0)) return {};
  const Eigen::VectorXd common = corner.covariance_mm2 * best.by_coordinate;
  const double variance = best.by_coordinate.dot(common);
  std::vector<HeightShare> shares;
  for (Eigen::Index i = 0; i < common.size(); ++i) {
    HeightShare share;
    share.point = static_cast<std::size_t>(i / 3);
    share.coordinate = static_cast<int>(i % 3);
    share.words = std::string(coordinate_words[share.coordinate]) + " of the " +
                  workshop_words(corner.points[share.point].name);
    share.mm_per_mm = best.by_coordinate[i];
    share.sigma_mm = std::sqrt(std::max(0.0, corner.covariance_mm2(i, i)));
    share.share = best.by_coordinate[i] * common[i] / variance;
    shares.push_back(share);
  }
  std::stable_sort(shares.begin(), shares.end(),
                   [](const HeightShare& a, const HeightShare& b) { return a.share > b.share; });
  return shares;
}

}  // namespace pivotfix
