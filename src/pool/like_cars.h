// SPDX-License-Identifier: Apache-2.0
// Pools of like cars by chance that differ as much at each pivot as a given pool. Private to the pool stage
// and its tests.
//
// With W_i the inverse of car i's covariance C_i + tau^2 and A x = W_i (x_i - mean), the squares of A x at a
// pivot are what the pool tells about tau^2 there (they are its score in restricted maximum likelihood,
// Harville 1977; where all coordinates are measured alike they are a complete sufficient statistic). Pools
// with the same squares at each pivot are what a judgement may be ranked among whatever tau^2 is: a test
// whose rate is the stated one for each tau^2 must keep that rate with these squares given (Neyman structure:
// Lehmann and Romano, "Testing Statistical Hypotheses", 2005, 4.3, from memory). Drawn from the normal
// distribution, then what is a pivot's own is scaled until its squares are those of the pool (rotation tests:
// Langsrud, "Rotation Tests", Statistics and Computing 15, 2005, from memory): exact where all coordinates
// are measured alike, near it elsewhere. What pivots share, such as an error of the axes, is not scaled: it
// would no longer fit together.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "base/draws.h"

namespace pivotfix {

class LikeCars {
 public:
  // Covariances of full rank, x y z of each pivot; tau^2 of each pivot, for the weights and to start from; a
  // column of coordinates for each car.
  LikeCars(const std::vector<Eigen::MatrixXd>& covariances_mm2, const Eigen::VectorXd& scatter_mm2,
           const Eigen::MatrixXd& coordinates_mm);

  // Coordinates of such a pool about its mean, a column for each car.
  Eigen::MatrixXd operator()(NormalDraws& draws) const;

 private:
  Eigen::VectorXd squares_at_pivots(const Eigen::MatrixXd& coordinates_mm) const;

  std::vector<Eigen::MatrixXd> weights_{}, own_roots_{}, shared_roots_{};
  Eigen::MatrixXd mean_covariance_mm2_{};
  Eigen::VectorXd squares_{};
};

}  // namespace pivotfix
