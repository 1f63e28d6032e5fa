// SPDX-License-Identifier: Apache-2.0
// "Did you mean": the known word nearest to a mistyped one.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace pivotfix {

// Letters to insert, delete or replace, or neighbours to swap, to turn one word into the other (restricted
// Damerau-Levenshtein distance; Damerau, CACM 7(3), 1964).
int edit_distance(std::string_view one, std::string_view other);

// The nearest of `known`, or empty when nothing is near enough for a slip: at most a third of its letters.
std::string nearest_word(std::string_view typed, const std::vector<std::string>& known);

// `Did you mean "fraction"?`, or `Known here are: a, b, c.`
std::string suggestion(std::string_view typed, const std::vector<std::string>& known);

}  // namespace pivotfix
