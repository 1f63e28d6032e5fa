// SPDX-License-Identifier: Apache-2.0
#include "base/suggestion.h"

#include <algorithm>

namespace pivotfix {

int edit_distance(std::string_view one, std::string_view other) {
  const std::size_t rows = one.size() + 1;
  const std::size_t columns = other.size() + 1;
  std::vector<int> distance(rows * columns);
  const auto at = [&](std::size_t row, std::size_t column) -> int& {
    return distance[row * columns + column];
  };
  for (std::size_t row = 0; row < rows; ++row) at(row, 0) = static_cast<int>(row);
  for (std::size_t column = 0; column < columns; ++column) at(0, column) = static_cast<int>(column);
  for (std::size_t row = 1; row < rows; ++row)
    for (std::size_t column = 1; column < columns; ++column) {
      const bool same = one[row - 1] == other[column - 1];
      int best = std::min(
          {at(row - 1, column) + 1, at(row, column - 1) + 1, at(row - 1, column - 1) + (same ? 0 : 1)});
      if (row > 1 && column > 1 && one[row - 1] == other[column - 2] && one[row - 2] == other[column - 1])
        best = std::min(best, at(row - 2, column - 2) + 1);
      at(row, column) = best;
    }
  return at(rows - 1, columns - 1);
}

std::string nearest_word(std::string_view typed, const std::vector<std::string>& known) {
  std::string nearest;
  int least = 0;
  for (const std::string& word : known) {
    const std::size_t longer = std::max(word.size(), typed.size());
    const int most = std::max(1, static_cast<int>(longer) / 3);
    // No slip, however long the stranger's word is: comparing takes time and memory for each of its letters.
    if (longer - std::min(word.size(), typed.size()) > static_cast<std::size_t>(most)) continue;
    const int distance = edit_distance(typed, word);
    if (distance > most || (!nearest.empty() && distance >= least)) continue;
    nearest = word;
    least = distance;
  }
  return nearest;
}

std::string suggestion(std::string_view typed, const std::vector<std::string>& known) {
  const std::string nearest = nearest_word(typed, known);
  if (!nearest.empty()) return "Did you mean \"" + nearest + "\"?";
  std::string list;
  for (const std::string& word : known) list += (list.empty() ? "" : ", ") + word;
  return "Known here are: " + list + ".";
}

}  // namespace pivotfix
