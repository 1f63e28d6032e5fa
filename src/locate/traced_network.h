// SPDX-License-Identifier: Apache-2.0
// The network's tags as traced poses, by number and photo set; and how parts moved between sets. Private to
// the locate stage and its tests.
//
// A set's name is that of a height ("ride"), or "height/part" where only restless tags moved (a hub that was
// turned, a pointer that was set down elsewhere).
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "locate/motion.h"
#include "locate/rigid_bodies.h"
#include "locate/traced.h"
#include "network/network.h"

namespace pivotfix {

// "ride" of "ride/turn 1".
std::string height_of(const std::string& set);

class TracedNetwork {
 public:
  // Inputs are those of `network`'s tags, then `own_inputs` more for the user's figures. `bodies`: what
  // moves.
  TracedNetwork(const Network& network, Eigen::Index own_inputs, std::vector<Body> bodies = {})
      : network_(network),
        tag_inputs_(6 * static_cast<Eigen::Index>(network.tags.size())),
        inputs_(tag_inputs_ + own_inputs),
        bodies_(std::move(bodies)) {}

  Eigen::Index tag_inputs() const { return tag_inputs_; }
  Eigen::Index inputs() const { return inputs_; }
  const Network& network() const { return network_; }

  // As it stands in `set`: one that stays, anywhere; a tag that is only in parts of that height, in the part
  // that shows its body best. -1 when there is none.
  int index_of(int number, const std::string& set) const;
  // Throws Problem(refused) when there is none.
  TracedPose tag(int number, const std::string& set, const std::string& needed_for) const;
  Traced centre(int number, const std::string& set, const std::string& needed_for) const;

  // Sets in which the body was seen, in order of name.
  std::vector<std::string> sets_of(const Body& body) const;
  // Of those of that height, the one with most photos of its tags, the first of several; empty when none.
  std::string best_set_of(const Body& body, const std::string& height) const;
  // Takes the body's points (in network axes) from where they are in `from` to where they are in `to`.
  // Empty body: the car itself, which stays. Throws Problem(refused) when no tag of it is in both.
  TracedPose moved(const Body& body, const std::string& from, const std::string& to) const;
  // From `reference` to every other set of `part`, as seen from `seen_from` (empty: from the car), leaving
  // out sets of the heights in `but_not` and those where the other body was not seen.
  std::vector<RelativeMotion> motions(const Body& part, const Body& seen_from, const std::string& reference,
                                      const std::vector<std::string>& but_not = {}) const;
  // Middle of the body's tags; zero when the set shows none.
  Traced middle_of(const Body& body, const std::string& set) const;

 private:
  const Network& network_;
  Eigen::Index tag_inputs_, inputs_;
  std::vector<Body> bodies_;
};

}  // namespace pivotfix
