// SPDX-License-Identifier: Apache-2.0
// Sentences and tables of a comparison, for the terminal and the page alike.
#pragma once

#include <string>
#include <vector>

#include "club_report/comparison.h"
#include "page/text_layout.h"

namespace pivotfix::report {

// What the first and the second measurement are called: "before" and "after", or the sides.
std::string first_word(const Comparison& comparison);
std::string second_word(const Comparison& comparison);

// The answer, most important first.
std::vector<std::string> comparison_sentences(const ComparisonReport& input);

// pivot, x, y, z, length; where it was judged: by chance, anywhere by chance, moved
Rows shift_rows(const ComparisonReport& input);
std::vector<std::string> shift_heads(const ComparisonReport& input);

// what, before, after, change; the change carries its uncertainty. The angles only, and all.
Rows angle_rows(const ComparisonReport& input);
Rows change_rows(const ComparisonReport& input);
std::vector<std::string> change_heads(const Comparison& comparison);

// travel, toe before, toe after, camber before, camber after; degrees of change since ride height
Rows travel_rows(const ComparisonReport& input);
std::vector<std::string> travel_heads(const ComparisonReport& input);

// How the sets were laid over each other and what the verdict counts on.
std::vector<std::string> comparison_method(const ComparisonReport& input);

// "< 0.001", "0.032"
std::string chance_text(double probability);

// "5 of 100", "2.5 of 100"
std::string share_words(double share);

}  // namespace pivotfix::report
