// SPDX-License-Identifier: Apache-2.0
// Simple shapes through tags: a ring round a part, a line along a tube, a plane. Each with its covariance by
// linear propagation from the joint covariance of the tags. Tags stuck on by eye lie off the shape by more
// than that explains; then each of them counts as off by as much, in every axis by itself, as makes what is
// left plausible (chi-squared equal to the freedom; derived). Private to the locate stage and its tests.
#pragma once

#include <string>
#include <vector>

#include "locate/traced.h"

namespace pivotfix {

struct ShapeCheck {
  double chi_square = 0.0;
  int freedom = 0;
  double scatter_mm = 0.0;  // standard deviation, each axis, of a point off the shape besides the inputs' own
};

// Further covariance of a shape's point and its direction, in this order: what its points scatter.
using ShapeScatter = Eigen::Matrix<double, 6, 6>;

// Circle in a plane through three points or more; `direction` is square to it, on the side of `outwards`.
// Throws Problem(refused), naming `what`, for fewer points or when they lie almost in one line.
struct Ring {
  Traced centre{};
  Traced direction{};
  double radius_mm = 0.0;
  ShapeCheck check{};
  ShapeScatter scatter = ShapeScatter::Zero();  // of centre and direction
};
Ring ring_through(const std::vector<Traced>& points, const Eigen::Vector3d& outwards,
                  const Eigen::MatrixXd& input_covariance, const std::string& what);

// Line through two points or more; `low` is where the first of them comes to lie on it, `direction` leads to
// the last. Throws Problem(refused) when they are less than 60 mm apart along the line.
struct TubeLine {
  Traced low{};
  Traced direction{};
  ShapeCheck check{};
  ShapeScatter scatter = ShapeScatter::Zero();  // of `low` and direction
};
TubeLine line_through(const std::vector<Traced>& points, const Eigen::MatrixXd& input_covariance,
                      const std::string& what);

// Normal of the least-squares plane through three points or more, on the side of `outwards`. Throws
// Problem(refused), naming `what`, for fewer points, or when they spread across by less than `least_ratio` of
// what they spread along.
Traced plane_through(const std::vector<Traced>& points, const Eigen::Vector3d& outwards,
                     const std::string& what, double least_ratio = 0.15);

}  // namespace pivotfix
