// SPDX-License-Identifier: Apache-2.0
// Tags of one body keep their places to each other through all photo sets. The network's adjustment does not
// know that; here it is added with the network's joint covariance, which to first order equals one adjustment
// of photos and bodies together (derived: conditions on an estimate with its full covariance).
//
// A tag that slipped on its part says nothing of how the part moved: it is left out of the conditions, and of
// the body. Where no single tag explains what does not fit (the part bends, or only two tags are on it), each
// of its tags is taken to be off by as much as makes what is left plausible.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "network/network.h"

namespace pivotfix {

// What moves as one piece.
struct Body {
  // So many check each other; of more tags, those that no photo shows do not count.
  static constexpr std::size_t fewest_tags = 2;
  std::string name{};       // "knuckle"
  std::vector<int> tags{};  // by number
};

struct BodyFit {
  std::string name{};
  double chi_square = 0.0;
  int freedom = 0;  // zero: nothing to test
  int worst_tag = -1;
  bool doubtful = false;  // a tag slipped, or the part bends: chance explains less than one in ten thousand
  // When doubtful, one of the two:
  int slipped_tag = -1;   // without it the others keep their places to each other
  double slack_mm = 0.0;  // standard deviation by which each tag is off, in each axis and set
};

struct RigidNetwork {
  // Tags moved to where the conditions hold; a body's tag hidden in one set stands there where its fellows
  // say. Covariance as what the conditions leave of it.
  Network network{};
  Eigen::MatrixXd by_tags{};  // its tags by those of the network without conditions, six each
  std::vector<BodyFit> fits{};
  std::vector<Body> bodies{};  // without tags that slipped
};

RigidNetwork with_rigid_bodies(const Network& network, const std::vector<Body>& bodies);

}  // namespace pivotfix
