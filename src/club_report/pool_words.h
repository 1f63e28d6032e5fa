// SPDX-License-Identifier: Apache-2.0
// Sentences and tables of a pool, for the terminal and the page alike.
#pragma once

#include <string>
#include <vector>

#include "club_report/pooling.h"
#include "page/markup.h"
#include "page/text_layout.h"

namespace pivotfix::report {

// Odd cars first, then how much the cars differ.
std::vector<std::string> pool_sentences(const PoolReport& input);

// pivot, x, y, z of the mean, car to car, its 95 %, measuring, chance, differs
Rows pooled_rows(const PoolReport& input);
std::vector<std::string> pooled_heads(LengthUnit unit);

// car, date, measured by, how, checksum of the set
Rows car_rows(const PoolReport& input);
std::vector<std::string> car_heads();

std::vector<std::string> pool_method_words(const PoolReport& input);

// Members as people look for them: by their names.
std::vector<std::size_t> by_label(const Pool& pool);

// Every car's pivots about the mean, in three columns x, y, z.
Markup pool_picture(const PoolReport& input);

}  // namespace pivotfix::report
