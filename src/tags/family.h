// SPDX-License-Identifier: Apache-2.0
// The tag family: which pattern has which number, and which number a pattern seen may be. Private.
#pragma once

#include <array>
#include <cstdint>
#include <optional>

#include "tags/tags.h"

namespace pivotfix {

inline constexpr int code_cells = tag_cells - 2;  // along a side, without the border

extern const std::array<std::uint64_t, tag_family_size> family_codes;

// Code cells [row from the top][column from the left], true is white.
using CodeCells = std::array<std::array<bool, code_cells>, code_cells>;

struct FamilyMatch {
  int tag_number = -1;
  int quarter_turns = 0;  // the tag's bottom left is this many corners after the one taken for it
  int wrong_cells = 0;
};

// The nearest member in any of its four turns, if at most `most_wrong_cells` cells differ.
std::optional<FamilyMatch> match_family(const CodeCells& cells, int most_wrong_cells);

}  // namespace pivotfix
