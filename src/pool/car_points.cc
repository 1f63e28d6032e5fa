// SPDX-License-Identifier: Apache-2.0
#include "pool/car_points.h"

#include <algorithm>
#include <cmath>

#include "hardpoints/open_lines.h"

namespace pivotfix {
namespace {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::MatrixXd;
using Eigen::MatrixXi;
using Eigen::Vector3d;

// Where the cars with a say have the pivot, along the direction; all cars, where none has one. A column of
// coordinates for each car.
double common_place_mm(const NoSay& direction, const MatrixXd& coordinates_mm) {
  const bool nobody = direction.nobody_has_a_say();
  double sum = 0.0, count = 0.0;
  for (Index car = 0; car < coordinates_mm.cols(); ++car)
    if (nobody || !direction.cars[static_cast<std::size_t>(car)]) {
      sum += direction.along.dot(coordinates_mm.col(car).segment<3>(3 * direction.pivot));
      count += 1.0;
    }
  return sum / count;
}

void slide_to(double place_mm, const NoSay& direction, CarPoints& car) {
  const Index at = 3 * direction.pivot;
  auto pivot_mm = car.coordinates_mm.segment<3>(at);
  const double by_mm = place_mm - direction.along.dot(pivot_mm);
  if (!direction.through) {
    pivot_mm += by_mm * direction.along;
    return;
  }
  const Index other = 3 * *direction.through;
  const Vector3d line_mm = car.coordinates_mm.segment<3>(other) - pivot_mm;
  const double share = by_mm / direction.along.dot(line_mm);
  pivot_mm += share * line_mm;
  MatrixXd by_points = MatrixXd::Identity(car.coordinates_mm.size(), car.coordinates_mm.size());
  slide(at, other, share, by_points);
  car.covariance_mm2 = (by_points * car.covariance_mm2 * by_points.transpose()).eval();
}

// Sigma first: then the covariance forgets what was measured.
void open_along(const Vector3d& along, Index pivot, CarPoints& car) {
  const Matrix3d across = Matrix3d::Identity() - along * along.transpose();
  auto covariance_mm2 = car.covariance_mm2.block<3, 3>(3 * pivot, 3 * pivot);
  car.sigma_mm.segment<3>(3 * pivot) =
      (across * covariance_mm2 * across).diagonal().cwiseMax(0.0).cwiseSqrt();
  car.no_say[static_cast<std::size_t>(pivot)] = true;
  covariance_mm2 += nothing_known_mm * nothing_known_mm * along * along.transpose();
}

}  // namespace

MatrixXd coordinates_of(const std::vector<CarPoints>& cars) {
  MatrixXd coordinates_mm(cars.front().coordinates_mm.size(), static_cast<Index>(cars.size()));
  for (std::size_t i = 0; i < cars.size(); ++i)
    coordinates_mm.col(static_cast<Index>(i)) = cars[i].coordinates_mm;
  return coordinates_mm;
}

MatrixXi directions_of(const std::vector<CarPoints>& cars) {
  MatrixXi directions(cars.front().coordinates_mm.size() / 3, static_cast<Index>(cars.size()));
  for (Index car = 0; car < directions.cols(); ++car)
    for (Index p = 0; p < directions.rows(); ++p)
      directions(p, car) = cars[static_cast<std::size_t>(car)].directions(p);
  return directions;
}

bool NoSay::nobody_has_a_say() const {
  return std::find(cars.begin(), cars.end(), false) == cars.end();
}

double CarPoints::measuring_mm2(Index pivot) const {
  return sigma_mm.segment<3>(3 * pivot).squaredNorm() / directions(pivot);
}

CarPoints car_points(const HardpointSet& set, double assumed_sigma_mm) {
  CarPoints car;
  const std::vector<std::string>& names = hardpoint_names(set.layout);
  const auto size = static_cast<Index>(3 * names.size());
  std::vector<Index> rows;
  car.coordinates_mm.resize(size);
  for (const std::string& name : names) {
    const auto at = static_cast<Index>(3 * set.index_of(name));
    car.coordinates_mm.segment<3>(static_cast<Index>(rows.size())) = set.position_vehicle_mm(name);
    for (Index c = 0; c < 3; ++c) rows.push_back(at + c);
  }
  if (set.covariance_mm2.size() > 0)
    car.covariance_mm2 = set.covariance_mm2(rows, rows);
  else
    car.covariance_mm2 = assumed_sigma_mm * assumed_sigma_mm * MatrixXd::Identity(size, size);
  car.covariance_mm2.diagonal().array() += least_variance_mm2;
  car.sigma_mm = car.covariance_mm2.diagonal().cwiseSqrt();
  car.no_say.assign(names.size(), false);
  return car;
}

std::vector<NoSay> lines_among(const std::vector<HardpointSet>& sets) {
  std::vector<NoSay> lines;
  const std::vector<std::string>& names = hardpoint_names(sets.front().layout);
  for (auto name = names.begin(); name != names.end(); ++name) {
    const auto through = std::find(names.begin(), names.end(), other_pivot_on_line(*name));
    if (through == names.end()) continue;
    NoSay line{name - names.begin(), Vector3d::Zero(), {}, through - names.begin()};
    for (const HardpointSet& set : sets) {
      line.cars.push_back(tells_line_only(set.points[set.index_of(*name)]));
      line.along += (set.position_vehicle_mm(*through) - set.position_vehicle_mm(*name)).normalized();
    }
    line.along.normalize();
    if (std::find(line.cars.begin(), line.cars.end(), true) != line.cars.end()) lines.push_back(line);
  }
  return lines;
}

// All slide before any is opened: the other pivot of a line is measured, too.
void leave_out(const std::vector<NoSay>& directions, std::vector<CarPoints>& cars) {
  for (const NoSay& direction : directions) {
    const double place_mm = common_place_mm(direction, coordinates_of(cars));
    for (std::size_t i = 0; i < cars.size(); ++i)
      if (direction.cars[i]) slide_to(place_mm, direction, cars[i]);
  }
  for (const NoSay& direction : directions)
    for (std::size_t i = 0; i < cars.size(); ++i)
      if (direction.cars[i]) open_along(direction.along, direction.pivot, cars[i]);
}

void leave_out(const std::vector<NoSay>& directions, MatrixXd& coordinates_mm) {
  for (const NoSay& direction : directions) {
    const double place_mm = common_place_mm(direction, coordinates_mm);
    for (std::size_t i = 0; i < direction.cars.size(); ++i) {
      if (!direction.cars[i]) continue;
      auto pivot_mm = coordinates_mm.col(static_cast<Index>(i)).segment<3>(3 * direction.pivot);
      pivot_mm += ((place_mm - direction.along.dot(pivot_mm)) * direction.along).eval();
    }
  }
}

}  // namespace pivotfix
