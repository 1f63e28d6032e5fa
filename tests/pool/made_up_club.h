// SPDX-License-Identifier: Apache-2.0
// Cars of one chassis whose mean, scatter and odd one are known. All are invented. That real cars'
// peculiarities are normal, and independent from pivot to pivot, is not proved.
#pragma once

#include <algorithm>
#include <cmath>

#include "compare/made_up_measurements.h"
#include "pool/pool.h"

namespace pivotfix {

// Every coordinate peculiar by `scatter_mm`, then measured.
class Club {
 public:
  Club(unsigned seed, double scatter_mm, bool shared_axes = true)
      : bench_(seed), scatter_mm_(scatter_mm), shared_axes_(shared_axes) {}

  PoolMember car(const std::string& label, double own_sigma_mm = 0.3) {
    HardpointSet set = strut_set();
    for (Hardpoint& point : set.points)
      for (double& coordinate : point.position_vehicle_mm) coordinate += scatter_mm_ * bench_.normal();
    set = bench_.measured(set, made_up_covariance(positions_of(strut_set()), own_sigma_mm, shared_axes_));
    set.record.car = label;
    return {label, set, {}};
  }
  std::vector<PoolMember> cars(int count) {
    std::vector<PoolMember> members;
    for (int i = 0; i < count; ++i) members.push_back(car("car " + std::to_string(i)));
    return members;
  }
  Workbench& bench() { return bench_; }

 private:
  Workbench bench_;
  double scatter_mm_;
  bool shared_axes_;
};

// How often `pool` is right about such cars. With fewer draws of its own than usual, which only makes its
// chances coarser.
class ClubDraws {
 public:
  ClubDraws(unsigned seed, double scatter_mm, int draws, int cars = 8)
      : club_(seed, scatter_mm), scatter_mm_(scatter_mm), draws_(draws), cars_(cars) {
    options_.draws = 199;
  }

  Share like_car_called_odd() {
    Share share{0, draws_};
    for (int i = 0; i < draws_; ++i) share.times += pool(club_.cars(cars_), options_).odd.empty() ? 0 : 1;
    return share;
  }

  // Off by three standard deviations of what a pivot differs by from car to car, measuring included, as a
  // length, in any direction: all pivots or one.
  Share odd_car_named(bool all_pivots) {
    Share share{0, draws_};
    for (int i = 0; i < draws_; ++i) {
      std::vector<PoolMember> cars = club_.cars(cars_);
      HardpointSet& odd = cars[3].set;
      for (std::size_t p = 0; p < odd.points.size(); ++p)
        if (all_pivots || p == 6)
          odd.points[p].position_vehicle_mm += 3.0 * deviation_mm(odd, p) * club_.bench().direction();
      const Pool pooled = pool(cars, options_);
      share.times += std::any_of(pooled.odd.begin(), pooled.odd.end(),
                                 [](const OddCar& car) { return car.label == "car 3"; })
                         ? 1
                         : 0;
    }
    return share;
  }

  Share pivots_said_to_differ() { return differing(false); }
  Share any_said_to_differ() { return differing(true); }

 private:
  Share differing(bool any) {
    Share share;
    for (int i = 0; i < draws_; ++i) {
      const Pool pooled = pool(club_.cars(cars_), options_);
      const auto differ = std::count_if(pooled.points.begin(), pooled.points.end(),
                                        [](const PooledPoint& point) { return point.differs; });
      share.times += any ? (differ > 0 ? 1 : 0) : static_cast<int>(differ);
      share.of += any ? 1 : static_cast<int>(pooled.points.size());
    }
    return share;
  }
  double deviation_mm(const HardpointSet& set, std::size_t i) const {
    return std::sqrt(set.covariance_mm2.diagonal().segment<3>(static_cast<Eigen::Index>(3 * i)).sum() +
                     3.0 * scatter_mm_ * scatter_mm_);
  }

  Club club_;
  double scatter_mm_;
  int draws_, cars_;
  PoolOptions options_{};
};

}  // namespace pivotfix
