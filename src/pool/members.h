// SPDX-License-Identifier: Apache-2.0
// Private to the pool stage.
#pragma once

#include <string>

#include "pool/pool.h"

namespace pivotfix {

std::string checksum_of(const HardpointSet& set);

// The object {"pool": ...} with all members, as text.
std::string pool_fields(const Pool& pool);

}  // namespace pivotfix
