// SPDX-License-Identifier: Apache-2.0
// Odd photos against even ones: the formal covariance knows only noise, two halves of the photos also tell
// errors of the camera model apart. Private to the network stage.
#pragma once

#include "network/network.h"
#include "network/network_builder.h"

namespace pivotfix {

// Adjusts both halves from the finished adjustment, with its weights and its spread of the photos' shifts,
// and compares the centres of the tags that both halves see in two photos or more. The halves are laid over
// each other by a similarity first: the scale bars are the same measured lengths in both and would hide
// there.
CrossValidation cross_validate(const StartedBundle& finished);

}  // namespace pivotfix
