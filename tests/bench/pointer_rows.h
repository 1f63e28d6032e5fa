// SPDX-License-Identifier: Apache-2.0
// A rendered pointer: pivoted in a dent, then touching a point, against the truth.
#pragma once

#include <filesystem>
#include <vector>

#include "locate/heights_errors.h"

namespace pivotfix::bench {

std::vector<HeightsError> pointer_errors(const std::filesystem::path& folder);

}  // namespace pivotfix::bench
