// SPDX-License-Identifier: Apache-2.0
// Cars of one chassis whose mean, scatter and odd one are known. All are invented. That real cars'
// peculiarities are normal, and independent from pivot to pivot, is not proved.
#pragma once

#include <algorithm>
#include <cmath>
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "compare/made_up_measurements.h"
#include "pool/pool.h"

namespace pivotfix {

// How cars differ and how well they were measured.
struct ClubKind {
  std::vector<double> scatter_mm{};       // of the pivots in turn, over again when there are more pivots
  std::vector<double> own_sigma_mm{0.3};  // of the cars in turn
  bool shared_axes = true;

  double scatter_of(std::size_t pivot) const { return scatter_mm[pivot % scatter_mm.size()]; }
};

// Every coordinate peculiar to the car, then measured.
class Club {
 public:
  Club(unsigned seed, ClubKind kind) : bench_(seed), kind_(std::move(kind)) {}
  Club(unsigned seed, double scatter_mm, bool shared_axes = true)
      : Club(seed, {{scatter_mm}, {0.3}, shared_axes}) {}

  PoolMember car(const std::string& label, double own_sigma_mm = 0.3) {
    HardpointSet set = strut_set();
    for (std::size_t p = 0; p < set.points.size(); ++p)
      for (double& coordinate : set.points[p].position_vehicle_mm)
        coordinate += kind_.scatter_of(p) * bench_.normal();
    set =
        bench_.measured(set, made_up_covariance(positions_of(strut_set()), own_sigma_mm, kind_.shared_axes));
    set.record.car = label;
    return {label, set, {}};
  }
  std::vector<PoolMember> cars(int count) {
    std::vector<PoolMember> members;
    for (int i = 0; i < count; ++i)
      members.push_back(car("car " + std::to_string(i),
                            kind_.own_sigma_mm[static_cast<std::size_t>(i) % kind_.own_sigma_mm.size()]));
    return members;
  }
  // Three standard deviations of what a car's pivot differs by from another's, measuring included, as a
  // length, in any direction.
  void put_off(HardpointSet& set, std::size_t pivot) {
    const double measuring_mm2 =
        set.covariance_mm2.diagonal().segment<3>(static_cast<Eigen::Index>(3 * pivot)).sum();
    const double length_mm = 3.0 * std::sqrt(measuring_mm2 + 3.0 * std::pow(kind_.scatter_of(pivot), 2));
    set.points[pivot].position_vehicle_mm += length_mm * bench_.direction();
  }

 private:
  Workbench bench_;
  ClubKind kind_;
};

// How often `pool` is right about such cars. With fewer draws of its own than usual, which only makes its
// chances coarser.
class ClubDraws {
 public:
  ClubDraws(unsigned seed, ClubKind kind, int draws, int cars = 8)
      : club_(seed, std::move(kind)), draws_(draws), cars_(cars) {
    options_.draws = 199;
  }
  ClubDraws(unsigned seed, double scatter_mm, int draws, int cars = 8)
      : ClubDraws(seed, ClubKind{{scatter_mm}}, draws, cars) {}

  Share like_car_called_odd() {
    Share share{0, draws_};
    for (int i = 0; i < draws_; ++i) share.times += pool(club_.cars(cars_), options_).odd.empty() ? 0 : 1;
    return share;
  }

  Share car_with_all_pivots_off_named() {
    return named([&](std::vector<PoolMember>& cars) {
      for (std::size_t p = 0; p < cars[3].set.points.size(); ++p) club_.put_off(cars[3].set, p);
      return std::vector<std::string>{cars[3].label};
    });
  }
  Share car_with_one_pivot_off_named(std::size_t pivot = 6) {
    return named([&](std::vector<PoolMember>& cars) {
      club_.put_off(cars[3].set, pivot);
      return std::vector<std::string>{cars[3].label};
    });
  }
  // Each with another pivot off; both count.
  Share two_cars_with_one_pivot_off_named() {
    return named([&](std::vector<PoolMember>& cars) {
      club_.put_off(cars[3].set, 6);
      club_.put_off(cars[1].set, 2);
      return std::vector<std::string>{cars[1].label, cars[3].label};
    });
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

  // `make_odd` returns the labels of the cars that it made so.
  Share named(const std::function<std::vector<std::string>(std::vector<PoolMember>&)>& make_odd) {
    Share share;
    for (int i = 0; i < draws_; ++i) {
      std::vector<PoolMember> cars = club_.cars(cars_);
      const std::vector<std::string> odd = make_odd(cars);
      const Pool pooled = pool(cars, options_);
      share.of += static_cast<int>(odd.size());
      share.times +=
          static_cast<int>(std::count_if(pooled.odd.begin(), pooled.odd.end(), [&](const OddCar& car) {
            return std::find(odd.begin(), odd.end(), car.label) != odd.end();
          }));
    }
    return share;
  }

  Club club_;
  int draws_, cars_;
  PoolOptions options_{};
};

}  // namespace pivotfix
