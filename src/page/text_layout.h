// SPDX-License-Identifier: Apache-2.0
// Plain text for the terminal: lines that fit it, columns that stand below each other.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace pivotfix::report {

using Rows = std::vector<std::vector<std::string>>;

// Control characters from file names and titles must not reach the terminal.
std::string printable(std::string_view text);

// Words of `text` in lines of at most 80 columns, the first after `first`, the others indented alike.
std::string wrapped(std::string_view text, const std::string& first);

// Rows with aligned columns: the first to the left, the others to the right when `numbers`. What is wider
// than 80 columns comes in blocks below each other, each with the first column before it.
std::string aligned(const Rows& rows, bool numbers);

// These columns of the rows, in this order.
Rows only_columns(const Rows& rows, const std::vector<std::size_t>& columns);

}  // namespace pivotfix::report
