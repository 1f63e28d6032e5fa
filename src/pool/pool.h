// SPDX-License-Identifier: Apache-2.0
// The hardpoints of a chassis from several cars of it: a weighted mean, how much the cars differ among
// themselves, told apart from how well each was measured (random effects, see random_effects.h), and which
// car is odd (oddness.h). The result is a hardpoint set like any other, and holds all that it was made from:
// a car can be added or taken out again.
#pragma once

#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "hardpoints/hardpoint_set.h"

namespace pivotfix {

struct PoolMember {
  std::string label{};  // for people: the car, or the file's name
  HardpointSet set{};
  std::string checksum{};  // of the set as written by hardpoints_to_json; filled in by `pool`
};

struct PoolOptions {
  double assumed_sigma_mm = 0.0;  // of each coordinate of a set that came without; zero: refuse such a set
  bool of_the_mean = false;       // uncertainty of the mean itself, not of one more car of the chassis
  double false_alarms = 0.05;     // share of pools of like cars in which one is called odd, and likewise in
                                  // which a pivot is said to differ from car to car
  int draws = 999;                // of pools of like cars, for the chances of odd ones: finer, not righter
  std::optional<Side> side{};     // of the result; not said: left, unless all are right
};

// One car's point against the mean of all.
struct CarOffset {
  Eigen::Vector3d off_mm = Eigen::Vector3d::Zero();
  Eigen::Vector3d sigma_mm = Eigen::Vector3d::Zero();  // of its measurement
};

struct PooledPoint {
  std::string name{};
  Eigen::Vector3d mean_mm = Eigen::Vector3d::Zero();
  Eigen::Vector3d mean_sigma_mm =
      Eigen::Vector3d::Zero();  // counts how little few cars tell of their scatter
  double scatter_mm = 0.0;      // tau: standard deviation from car to car, each coordinate
  double scatter_low_mm = 0.0;  // 95 % of it
  double scatter_high_mm = 0.0;
  double measuring_mm = 0.0;      // typical standard uncertainty of one car's coordinate
  double probability = 1.0;       // of cars that differ so much by measuring error alone
  bool differs = false;           // more than that explains, all pivots looked at (Holm 1979)
  std::vector<CarOffset> cars{};  // in the order of the members
};

struct OddCar {
  std::string label{};
  double probability = 1.0;                          // of a car this odd in a pool of like cars
  std::string pivot{};                               // that is off most
  Eigen::Vector3d off_mm = Eigen::Vector3d::Zero();  // against the mean of the others
};

struct Pool {
  HardpointSet result{};              // with `pool` among its other fields
  std::vector<PoolMember> members{};  // in an order that does not depend on that of the input
  std::vector<PooledPoint> points{};  // in the order of hardpoint_names
  double false_alarms = 0.05;         // as asked for
  bool oddness_judged = false;        // false: fewer than four cars
  std::vector<OddCar> odd{};          // most odd first
  std::vector<std::string> notes{};   // for people
};

inline constexpr const char* pool_method = "random effects, Paule and Mandel";

// Each car is first brought to its recorded ride height where it has one, and its rod end to where it stands
// without spacers between it and the steering arm (bare_contact.h), as the result's `rod_end` says it. Same
// input in any order gives the same bytes. Throws Problem(refused) for fewer than two cars, other layouts or
// missing pivots, sets without uncertainty when none is assumed, and a set that is given twice.
Pool pool(std::vector<PoolMember> members, const PoolOptions& options = {});

// What a file brings into a pool: itself, or, when it is a pool, everything that made it. `file` is for
// messages and the label of a set that names no car. Throws Problem(input) when a pool was changed by hand.
std::vector<PoolMember> members_of(const HardpointSet& set, const std::string& file);

// Whether photos are behind a set: its own files, or those of a car in the pool that it is, whose own list
// names the sets it was made from.
bool comes_from_photos(const HardpointSet& set);

// Takes out the members with this label or checksum. Throws Problem(input) listing the labels when there is
// none.
void take_out(const std::string& label, std::vector<PoolMember>& members);

}  // namespace pivotfix
