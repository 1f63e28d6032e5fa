// SPDX-License-Identifier: Apache-2.0
// The advice in workshop words.
#pragma once

#include <string>
#include <vector>

#include "advice/advice.h"
#include "advice/height.h"

namespace pivotfix {

std::vector<std::string> sentences_of(const Advice& advice, const Corner& corner, const RodEnd& rod_end,
                                      const BestHeight& best);

std::vector<std::string> warnings_of(const Advice& advice, const Corner& corner, const RodEnd& rod_end,
                                     const BestHeight& best);

}  // namespace pivotfix
