// SPDX-License-Identifier: Apache-2.0
// How often the truth lies within the uncertainty that a pool states: of the mean, and of one more car of the
// chassis that was not in the pool. All cars are invented.
#pragma once

#include <cmath>

#include "hardpoints/open_lines.h"
#include "pool/made_up_club.h"

namespace pivotfix {

// Coordinates further off than so many standard uncertainties.
struct Beyond {
  Share two{}, three{};

  void add(double off_in_sigma) {
    two.times += off_in_sigma > 2.0 ? 1 : 0;
    three.times += off_in_sigma > 3.0 ? 1 : 0;
    ++two.of, ++three.of;
  }
};

struct Coverage {
  Beyond one_more_car{}, mean{};
};

// Takes out what is along a pivot's line, where it is known as one: there nothing is stated.
inline Eigen::Matrix3d what_is_stated(const HardpointSet& set, const Hardpoint& point) {
  if (!tells_line_only(point)) return Eigen::Matrix3d::Identity();
  const Eigen::Vector3d along =
      (set.position_vehicle_mm(other_pivot_on_line(point.name)) - point.position_vehicle_mm).normalized();
  return Eigen::Matrix3d::Identity() - along * along.transpose();
}

// Cars measured to 0.3 mm, in height to 0.42 mm, each coordinate by itself.
inline Coverage coverage(unsigned seed, int cars, double scatter_mm, int pools) {
  Club club(seed, scatter_mm, false);
  Workbench bench(seed + 1000);
  PoolOptions options;
  options.draws = 1;  // nobody asks for odd ones
  Coverage result;
  const HardpointSet chassis = strut_set();
  for (int i = 0; i < pools; ++i) {
    const Pool pooled = pool(club.cars(cars), options);
    for (std::size_t p = 0; p < chassis.points.size(); ++p) {
      const Eigen::Matrix3d stated = what_is_stated(chassis, chassis.points[p]);
      const Eigen::Vector3d mean_off_mm =
          stated * (pooled.points[p].mean_mm - chassis.points[p].position_vehicle_mm);
      Eigen::Vector3d car_off_mm;
      for (double& coordinate : car_off_mm) coordinate = scatter_mm * bench.normal();
      car_off_mm = (stated * car_off_mm).eval();
      for (int c = 0; c < 3; ++c) {
        result.mean.add(std::abs(mean_off_mm[c]) / pooled.points[p].mean_sigma_mm[c]);
        result.one_more_car.add(std::abs(mean_off_mm[c] - car_off_mm[c]) / sigma_mm(pooled.result, p, c));
      }
    }
  }
  return result;
}

}  // namespace pivotfix
