// SPDX-License-Identifier: Apache-2.0
// Hardpoints as people in a workshop call them.
#pragma once

#include <string>
#include <string_view>

namespace pivotfix {

// "inner joint of the steering link" for link_inner_joint.
std::string workshop_words(std::string_view hardpoint_name);

}  // namespace pivotfix
