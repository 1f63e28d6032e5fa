// SPDX-License-Identifier: Apache-2.0
// An adjustment that starts from an earlier result of the same job: photos came, went, or were read anew.
#pragma once

#include "network/network.h"

namespace pivotfix {

// The same network as `adjust_network(input)`, sooner: photos are recognised by name, tags by number and set,
// lenses by camera; what is new is placed by vote among what is known, and all rounds of weighing and
// rejecting run as they do from nothing. Where the earlier result does not help (another camera, a zoomed
// photo) or contradicts the photos (most sightings of a tag or photo would be rejected: it was moved since),
// the start is from nothing.
//
// Equal inputs, the earlier result among them, give equal bytes. A warm and a cold start end in the same
// minimum, but by other steps: results differ by a small share of their stated uncertainty.
//
// Of `before` only poses, shifts, lenses, sides of tags and `shift_sigma` are read. Throws as
// `adjust_network`.
Network adjust_network_again(const NetworkInput& input, const Network& before);

}  // namespace pivotfix
