// SPDX-License-Identifier: Apache-2.0
// Tags of one body keep their places to each other through all photo sets. The network's adjustment does not
// know that; here it is added with the network's joint covariance, which to first order equals one adjustment
// of photos and bodies together (derived: conditions on an estimate with its full covariance).
#pragma once

#include <string>
#include <vector>

#include "network/network.h"

namespace pivotfix {

// What moves as one piece.
struct Body {
  std::string name{};       // "knuckle"
  std::vector<int> tags{};  // by number
};

struct BodyFit {
  std::string name{};
  double chi_square = 0.0;
  int freedom = 0;  // zero: nothing to test
  int worst_tag = -1;
  bool doubtful = false;  // a tag slipped, or the part bends: chance explains less than one in ten thousand
};

struct RigidNetwork {
  // Tags moved to where the conditions hold; a body's tag hidden in one set stands there where its fellows
  // say. Covariance as what the conditions leave of it.
  Network network{};
  Eigen::MatrixXd by_tags{};  // its tags by those of the network without conditions, six each
  std::vector<BodyFit> bodies{};
};

RigidNetwork with_rigid_bodies(const Network& network, const std::vector<Body>& bodies);

}  // namespace pivotfix
