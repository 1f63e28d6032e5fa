// SPDX-License-Identifier: Apache-2.0
// Hardpoints as people in a workshop call them.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace pivotfix {

// "inner joint of the steering link" for link_inner_joint.
std::string workshop_words(std::string_view hardpoint_name);

// Those of the names that someone who types "rod-end", "Link inner joint" or "link_outer_joint" may mean: the
// name itself, or else every name that has all typed words in it or in its workshop words.
std::vector<std::string> hardpoints_called(std::string_view typed, const std::vector<std::string>& names);

}  // namespace pivotfix
