// SPDX-License-Identifier: Apache-2.0
// Pivots of which a set tells a line only: a part's motion told no more, or any point of it will do, as low
// on the strut's axis. Where on it they stand matters to nothing that moves, but no two sets agree about it:
// who lays one over another asks here.
#pragma once

#include <Eigen/Core>
#include <set>
#include <string>

#include "hardpoints/hardpoint_set.h"

namespace pivotfix {

// As good as nothing known along a line, and still a number: arms are not much wider.
inline constexpr double nothing_known_mm = 200.0;
// Nothing is known better than to a thousandth of a millimetre: a coordinate without any uncertainty would
// weigh endlessly.
inline constexpr double least_variance_mm2 = 1e-6;

bool tells_line_only(const Hardpoint& point);
std::set<std::string> pivots_on_line_only(const HardpointSet& set);

// The other pivot of the line that it is known by; empty for a joint.
std::string other_pivot_on_line(const std::string& name);

// Slides a line's point by this share of the way to the line's other point. The map takes all coordinates to
// what they become; those of the two points begin at these rows.
void slide(Eigen::Index point_row, Eigen::Index other_row, double share, Eigen::MatrixXd& map);

// Takes what is along a line out of the covariance of the point whose three rows begin at `first_row`:
// nothing is known there, and where on the line the point stands is arbitrary. `along` is a unit vector.
void close_along(const Eigen::Vector3d& along, Eigen::Index first_row, Eigen::MatrixXd& covariance_mm2);

// As a workshop calls them: "lower arm front pivot, lower arm rear pivot".
std::string listed(const std::set<std::string>& names);

}  // namespace pivotfix
