// SPDX-License-Identifier: Apache-2.0
// Which of several cars is odd. Private to the pool stage and its tests.
#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <vector>

#include "pool/car_points.h"

namespace pivotfix {

struct CarOddness {
  double probability = 1.0;                          // of a car this odd among as many like cars
  Eigen::Index pivot = 0;                            // that is off most
  Eigen::Vector3d off_mm = Eigen::Vector3d::Zero();  // from where the other cars and its other pivots say
};

// Each car against the others (deletion.h), by its worst pivot and by all of them together. Chances come from
// drawing pools of like cars that differ as much at each pivot as these (like_cars.h); the pool itself is
// ranked among them, which makes the rate right with any number of draws (Barnard, discussion in Journal of
// the Royal Statistical Society B 25, 1963, from memory). They count that every car and pivot is looked at,
// both ways (Westfall and Young, "Resampling-Based Multiple Testing", 1993: smallest P), nine tenths of the
// false alarms left to the worst pivot (Genovese, Roeder and Wasserman, "False Discovery Control with p-Value
// Weighting", Biometrika 93, 2006, from memory). `scatter_mm2` is tau^2 of each pivot, on which the figures
// hardly depend. Let `seed` come from the data, else the same few draws err alike in every pool. Needs four
// cars or more.
// Where cars have no say, the drawn ones have none either.
std::vector<CarOddness> judge_oddness(const std::vector<CarPoints>& cars,
                                      const std::vector<NoSay>& directions,
                                      const Eigen::VectorXd& scatter_mm2, int draws, std::uint64_t seed);

}  // namespace pivotfix
