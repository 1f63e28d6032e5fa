// SPDX-License-Identifier: Apache-2.0
// Each of several cars against the others. Private to the pool stage and its tests.
//
// Car i has the coordinates x_i = mu + u_i + e_i: e_i with its known covariance C_i, u_i peculiar to the car,
// tau^2 in each coordinate of a pivot. It is held against the mean of the others with the tau^2 that the
// others show (deleted residuals: Viechtbauer and Cheung, "Outlier and Influence Diagnostics for
// Meta-Analysis", Research Synthesis Methods 1, 2010). Each tau^2 is one scoring step of restricted maximum
// likelihood (Harville, "Maximum Likelihood Approaches to Variance Component Estimation", Journal of the
// American Statistical Association 72, 1977) from a common start. Such a step is unbiased wherever it
// starts, if it is not cut off at zero. Then each is drawn towards those of the other pivots
// (shared_scatter.h). A pivot that cars know as a line only has two degrees of freedom for each car, not
// three: counted as three, what measuring adds would grow with tau^2 and hide it.
//
// With r = x_i - mean of the others and G the inverse of its covariance, pivot p by itself stands out by
// s = G_pp^-1 (G r)_p, whose square over its variance is (G r)_p' G_pp^-1 (G r)_p: what p differs by from
// what the car's other pivots lead to expect, so that errors which they share, such as those of the axes,
// drop out (mean shift outliers: Cook and Weisberg, "Residuals and Influence in Regression", 1982). With
// squares q and a tau^2 of D degrees of freedom, (D + 3) log(1 + q / D) is twice the logarithm of how much
// likelier the shift makes the pivot (Student's t of three coordinates; of two on a line, D + 2), which is q
// itself when D is large. All pivots together: r' G r.
#pragma once

#include <Eigen/Core>
#include <vector>

#include "pool/shared_scatter.h"

namespace pivotfix {

struct Deletion {
  Eigen::MatrixXd squares{};             // of each pivot (rows) of each car (columns), over their variance
  Eigen::MatrixXd ratios{};              // (D + 3) log(1 + squares / D); on a line D + 2
  Eigen::VectorXd together{};            // squares of all pivots of each car
  Eigen::MatrixXd off_mm{};              // s of each coordinate (rows) of each car (columns)
  Eigen::MatrixXd others_scatter_mm2{};  // tau^2 of each pivot (rows) without each car (columns), as it is
  Eigen::MatrixXd freedom{};             // D, of tau^2 of each pivot without each car as judged by
};

// For many sets of coordinates with the same covariances: what does not depend on the coordinates is worked
// out once.
class DeleteEachCar {
 public:
  // Covariances of full rank, x y z of each pivot, of three cars or more; tau^2 of each pivot to start from;
  // in how many directions each car (columns) has a say about each pivot (rows), all three when not said.
  DeleteEachCar(const std::vector<Eigen::MatrixXd>& covariances_mm2, const Eigen::VectorXd& scatter_mm2,
                const Eigen::MatrixXi& directions = {});

  // A column for each car.
  Deletion operator()(const Eigen::MatrixXd& coordinates_mm) const;
  // The same where tau^2 is known.
  Deletion with_scatter(const Eigen::MatrixXd& coordinates_mm, const Eigen::VectorXd& scatter_mm2) const;

 private:
  struct Others {
    Eigen::MatrixXd mean_covariance_mm2{};
    std::vector<Eigen::MatrixXd> mean_covariance_by_scatter{};  // of each pivot, by its tau^2
    Eigen::MatrixXd scatter_from_squares{};
    Eigen::VectorXd expected_squares{};  // with the start's tau^2
    Eigen::VectorXd measuring_mm2{};     // variance of each pivot that is not tau^2
    Eigen::VectorXd freedom{};           // of each tau^2
    Eigen::VectorXd compared{};          // coordinates of each pivot that both they and the car know
  };

  struct Means {
    Eigen::MatrixXd weighted{};  // each car's coordinates
    Eigen::MatrixXd others_mm{};
  };

  Others others_than(std::size_t car) const;
  void count_directions(Eigen::Index car, Others& others) const;
  Means means_of(const Eigen::MatrixXd& coordinates_mm) const;
  Eigen::VectorXd scatter_without(Eigen::Index car, const Means& means) const;
  SharedScatter shared(Eigen::Index car, const Eigen::VectorXd& scatter_mm2) const;
  void judge(Eigen::Index car, const Eigen::VectorXd& off_mm, const SharedScatter& scatter,
             Deletion& result) const;

  std::vector<Eigen::MatrixXd> covariances_mm2_{}, weights_{};
  Eigen::VectorXd start_mm2_{};
  Eigen::MatrixXi directions_{};
  Eigen::VectorXd lowest_mm2_{};
  std::vector<Others> others_{};
};

}  // namespace pivotfix
