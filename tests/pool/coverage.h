// SPDX-License-Identifier: Apache-2.0
// How often the truth lies within the uncertainty that a pool states: of the mean, and of one more car of the
// chassis that was not in the pool. All cars are invented.
#pragma once

#include <cmath>

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
    for (std::size_t p = 0; p < chassis.points.size(); ++p)
      for (int c = 0; c < 3; ++c) {
        const double mean_off_mm = pooled.points[p].mean_mm[c] - chassis.points[p].position_vehicle_mm[c];
        const double car_off_mm = scatter_mm * bench.normal();
        result.mean.add(std::abs(mean_off_mm) / pooled.points[p].mean_sigma_mm[c]);
        result.one_more_car.add(std::abs(mean_off_mm - car_off_mm) / sigma_mm(pooled.result, p, c));
      }
  }
  return result;
}

}  // namespace pivotfix
