// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

namespace pivotfix {

// The libraries that read photos and their versions, in one line: another version may give other grey values.
// Those that tell theirs are asked while the program runs, the others were when it was built.
std::string photo_libraries();

}  // namespace pivotfix
