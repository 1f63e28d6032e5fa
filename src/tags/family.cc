// SPDX-License-Identifier: Apache-2.0
#include "tags/family.h"

#include <string>

#include "base/problem.h"

namespace pivotfix {
namespace {

std::uint64_t code_word(const CodeCells& cells) {
  std::uint64_t word = 0;
  for (const auto& row : cells) {
    for (const bool white : row) word = (word << 1) | (white ? 1U : 0U);
  }
  return word;
}

// Clockwise, so that what was at the bottom right comes to the bottom left.
CodeCells turn_clockwise(const CodeCells& cells) {
  CodeCells turned{};
  for (int row = 0; row < code_cells; ++row) {
    for (int column = 0; column < code_cells; ++column) {
      turned[row][column] = cells[code_cells - 1 - column][row];
    }
  }
  return turned;
}

// Or `enough` when there are as many or more: nearly all codes are far from what is looked for, and the
// processor's own instruction for it is not to be had everywhere.
int count_bits(std::uint64_t bits, int enough) {
  int count = 0;
  for (; bits != 0 && count < enough; ++count) bits &= bits - 1;
  return count;
}

}  // namespace

std::optional<FamilyMatch> match_family(const CodeCells& cells, int most_wrong_cells) {
  constexpr int surely_nearest = 5;  // any two codes of the family differ in 11 cells or more
  FamilyMatch best;
  best.wrong_cells = most_wrong_cells + 1;
  CodeCells turned = cells;
  for (int turns = 0; turns < 4; ++turns) {
    const std::uint64_t word = code_word(turned);
    for (int number = 0; number < tag_family_size; ++number) {
      const int wrong = count_bits(word ^ family_codes[number], best.wrong_cells);
      if (wrong >= best.wrong_cells) continue;
      best = {number, turns, wrong};
      if (wrong <= surely_nearest) return best;
    }
    turned = turn_clockwise(turned);
  }
  if (best.tag_number < 0) return std::nullopt;
  return best;
}

std::array<std::array<bool, tag_cells>, tag_cells> tag_pattern(int tag_number) {
  if (tag_number < 0 || tag_number >= tag_family_size) {
    throw Problem(ProblemKind::input, "There is no tag number " + std::to_string(tag_number) + ".",
                  "Use a number from 0 to " + std::to_string(tag_family_size - 1) + ".");
  }
  std::array<std::array<bool, tag_cells>, tag_cells> black{};
  for (auto& row : black) row.fill(true);
  for (int row = 0; row < code_cells; ++row) {
    for (int column = 0; column < code_cells; ++column) {
      const int bit = code_cells * code_cells - 1 - (row * code_cells + column);
      black[row + 1][column + 1] = ((family_codes[tag_number] >> bit) & 1U) == 0;
    }
  }
  return black;
}

}  // namespace pivotfix
