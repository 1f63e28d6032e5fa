// SPDX-License-Identifier: Apache-2.0
#include "compare/recorded_tags.h"

#include "advice/recorded_height.h"
#include "corner/other_ride_height.h"

namespace pivotfix {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

// Columns of a covariance whose pivots stand in the set's order, in the corner's.
std::vector<Index> columns_in_order(const HardpointSet& set, const Corner& corner) {
  std::vector<Index> columns;
  for (const Hardpoint& point : corner.points)
    for (Index c = 0; c < 3; ++c) columns.push_back(3 * static_cast<Index>(set.index_of(point.name)) + c);
  return columns;
}

// Of a left set.
void raise_tags(const HardpointSet& set, const RideHeightMiss& miss, BodyTags& tags) {
  for (Eigen::Vector3d& centre : tags.centres_vehicle_mm) centre.z() += miss.above_mm;
  if (tags.covariance_mm2.size() == 0) return;
  const Corner corner = make_corner(set);
  const OtherRideHeight pivots = other_ride_height(corner, -miss.above_mm, Kept::link_length);
  const Index n = pivots.by_travel.size(), m = tags.covariance_mm2.rows();
  VectorXd tags_by_travel = VectorXd::Zero(m);
  for (Index i = 2; i < m; i += 3) tags_by_travel[i] = -1.0;
  const MatrixXd with_pivots = tags.covariance_mm2(Eigen::all, columns_in_order(set, corner));
  const double variance = miss.sigma_mm * miss.sigma_mm;
  tags.covariance_mm2.leftCols(n) = with_pivots * pivots.by_coordinate.transpose() +
                                    variance * tags_by_travel * pivots.by_travel.transpose();
  tags.covariance_mm2.rightCols(m) += variance * tags_by_travel * tags_by_travel.transpose();
}

}  // namespace

StandingSet standing_as_recorded(const HardpointSet& set) {
  AtRecordedHeight at_height = at_recorded_height(set);
  StandingSet result{std::move(at_height.hardpoints), std::move(at_height.words)};
  if (result.words.empty() || set.body_tags.numbers.empty()) return result;
  const HardpointSet left = set.side == Side::right ? mirrored(set) : set;
  HardpointSet raised = set.side == Side::right ? mirrored(result.hardpoints) : result.hardpoints;
  raise_tags(left, *set.ride_height, raised.body_tags);
  result.hardpoints = set.side == Side::right ? mirrored(raised) : raised;
  return result;
}

}  // namespace pivotfix
