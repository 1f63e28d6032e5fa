// SPDX-License-Identifier: Apache-2.0
// The cars' pivots as the pool weighs them. Private to the pool stage and its tests.
//
// Along one direction a car may have no say about a pivot: there its place is set to the others', and its
// covariance says that nothing is known. So neither mean nor scatter nor oddness takes anything from it, and
// across that direction the car counts in full. Where a car tells a line only, the pivot slides along the
// car's own line to that place, and its covariance becomes that of the line there: cars whose lines lean
// differently are compared at one place, wherever on its line each had put the pivot.
#pragma once

#include <Eigen/Core>
#include <optional>
#include <vector>

#include "hardpoints/hardpoint_set.h"

namespace pivotfix {

// Of one car; x y z of each pivot in the order of hardpoint_names.
struct CarPoints {
  Eigen::VectorXd coordinates_mm{};
  Eigen::MatrixXd covariance_mm2{};  // of the measurement; full rank
  Eigen::VectorXd sigma_mm{};        // of the measurement, without the direction that the car has no say in
  std::vector<bool> no_say{};        // pivots with such a direction

  // In how many directions the car has a say about the pivot.
  int directions(Eigen::Index pivot) const { return no_say[static_cast<std::size_t>(pivot)] ? 2 : 3; }
  // Variance of a coordinate of the pivot, on average over the directions that were measured.
  double measuring_mm2(Eigen::Index pivot) const;
};

// A direction along which some cars have no say about a pivot.
struct NoSay {
  Eigen::Index pivot = 0;
  Eigen::Vector3d along = Eigen::Vector3d::UnitZ();  // unit vector, the same for all cars
  std::vector<bool> cars{};
  std::optional<Eigen::Index> through{};  // other pivot of each car's own line; none: the line is `along`

  bool nobody_has_a_say() const;
};

// As measured. A set without covariance has `assumed_sigma_mm` in each coordinate.
CarPoints car_points(const HardpointSet& set, double assumed_sigma_mm);

// A column for each car.
Eigen::MatrixXd coordinates_of(const std::vector<CarPoints>& cars);

// Of each pivot (rows) of each car (columns).
Eigen::MatrixXi directions_of(const std::vector<CarPoints>& cars);

// Pivots of which some car tells a line only (hardpoints/open_lines.h).
std::vector<NoSay> lines_among(const std::vector<HardpointSet>& sets);

// Each pivot at most once.
void leave_out(const std::vector<NoSay>& directions, std::vector<CarPoints>& cars);

// The same for coordinates alone, a column for each car.
void leave_out(const std::vector<NoSay>& directions, Eigen::MatrixXd& coordinates_mm);

}  // namespace pivotfix
