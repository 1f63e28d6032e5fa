// SPDX-License-Identifier: Apache-2.0
// What the motion of one part against another tells of the joints between them.
//
// All are given in network axes as the parts stand in a reference set, and all work on relative motions: how
// the part moved between the reference set and another one, as seen from the other part. A direction that
// the motion does not determine (a ball joint that only ever turned about one axis can lie anywhere on that
// axis) shows as a large uncertainty there, and is named.
#pragma once

#include <string>
#include <vector>

#include "locate/conditions.h"
#include "locate/traced.h"

namespace pivotfix {

struct RelativeMotion {
  std::string set{};
  TracedPose moved{};  // takes the part's points from where they are in the reference set to here
};

struct MotionCheck {
  double chi_square = 0.0;
  int freedom = 0;
  bool doubtful = false;  // the joint moves by more than the photos' noise: play, rubber, or a bent part
  double widening = 1.0;  // by which standard deviations were multiplied because of that
};

// Largest standard deviation in any direction, and that direction. `open_mm2` is covariance that no input
// explains. To be judged of a point in axes that tags define, or against a tag near it: in network axes the
// figure hangs on which tag holds the datum.
struct WeakDirection {
  Eigen::Vector3d direction = Eigen::Vector3d::Zero();
  double sigma_mm = 0.0;
};
WeakDirection weakest(const Traced& point, const Eigen::MatrixXd& input_covariance,
                      const Eigen::Matrix3d& open_mm2 = Eigen::Matrix3d::Zero());
WeakDirection weakest_in(const Eigen::Matrix3d& covariance_mm2);

// The point of both parts that stays: a ball joint's centre. `near_mm` only starts the search. Throws
// Problem(refused), naming `what`, when there are fewer than two other sets or the parts hardly turned.
struct SharedPoint {
  Traced point{};
  Eigen::Matrix3d open_mm2 = Eigen::Matrix3d::Zero();  // further covariance: what no motion tells
  MotionCheck check{};
};
SharedPoint shared_point(const std::vector<RelativeMotion>& motions, const Eigen::Vector3d& near_mm,
                         const Eigen::MatrixXd& input_covariance, const std::string& what);

// The line that a part turns about: an arm's two bushings, a wheel's bearing. `point` is the one nearest to
// `near_mm`. One other set is enough. The sense of `direction` is arbitrary.
struct TurningAxis {
  Traced point{};
  Traced direction{};
  MotionCheck check{};
};
TurningAxis turning_axis(const std::vector<RelativeMotion>& motions, const Eigen::Vector3d& near_mm,
                         const Eigen::MatrixXd& input_covariance, const std::string& what);

// The line fixed in the knuckle that always runs through one point of the body: the strut's axis through its
// top mount. Needs three other sets; `near_mm` starts the mount, `along` the axis.
struct SlidingAxis {
  Traced mount{};
  Traced direction{};
  // Further covariance of mount and direction: what no motion tells.
  Eigen::Matrix<double, 6, 6> open = Eigen::Matrix<double, 6, 6>::Zero();
  MotionCheck check{};
};
SlidingAxis sliding_axis(const std::vector<RelativeMotion>& motions, const Eigen::Vector3d& near_mm,
                         const Eigen::Vector3d& along, const Eigen::MatrixXd& input_covariance,
                         const std::string& what);

}  // namespace pivotfix
