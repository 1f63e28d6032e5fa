// SPDX-License-Identifier: Apache-2.0
#include "page/text_layout.h"

#include <algorithm>
#include <vector>

#include "base/length_words.h"

namespace pivotfix::report {
namespace {

constexpr std::size_t line_width = 80;

// Columns on the screen: UTF-8 continuation bytes take none.
std::size_t columns_of(std::string_view text) {
  return static_cast<std::size_t>(
      std::count_if(text.begin(), text.end(), [](char c) { return (c & 0xC0) != 0x80; }));
}

std::string padded(const std::string& text, std::size_t width, bool right) {
  const std::size_t used = columns_of(text);
  const std::string blanks(used < width ? width - used : 0, ' ');
  return right ? blanks + text : text + blanks;
}

std::string without_controls(std::string_view text) {
  std::string result;
  for (char c : text) result += static_cast<unsigned char>(c) < 0x20u || c == 0x7F ? ' ' : c;
  return result;
}

constexpr std::size_t gap = 2;  // between columns; a line begins with as much

// Columns side by side as long as they fit; the first heads every block.
std::vector<std::vector<std::size_t>> columns_that_fit(const std::vector<std::size_t>& widths) {
  std::vector<std::vector<std::size_t>> blocks{{}};
  std::size_t used = 0;
  for (std::size_t i = 0; i < widths.size(); ++i) {
    if (blocks.back().size() > 1 && used + gap + widths[i] > line_width) {
      blocks.push_back({0});
      used = gap + widths[0];
    }
    blocks.back().push_back(i);
    used += gap + widths[i];
  }
  return blocks;
}

std::string block(const Rows& rows, const std::vector<std::size_t>& columns,
                  const std::vector<std::size_t>& widths, bool numbers) {
  std::string text;
  for (const auto& row : rows) {
    std::string line;
    for (const std::size_t i : columns)
      line += std::string(gap, ' ') +
              padded(i < row.size() ? printable(row[i]) : std::string(), widths[i], numbers && i > 0);
    line.erase(line.find_last_not_of(' ') + 1);
    text += line + "\n";
  }
  return text;
}

}  // namespace

std::string printable(std::string_view text) {
  return with_plain_spaces(without_controls(text));
}

std::string wrapped(std::string_view text, const std::string& first) {
  std::string result;
  std::string line = first;
  const std::string indent(columns_of(first), ' ');
  bool line_has_word = false;
  const std::string words = without_controls(text);
  for (std::size_t start = 0; start < words.size();) {
    const std::size_t end = std::min(words.find(' ', start), words.size());
    // A number stays with its unit, as long as the no-break space between them is there.
    const std::string word = with_plain_spaces(std::string_view(words).substr(start, end - start));
    start = end + 1;
    if (word.empty()) continue;
    if (line_has_word && columns_of(line) + 1 + columns_of(word) > line_width) {
      result += line + "\n";
      line = indent;
      line_has_word = false;
    }
    line += (line_has_word ? " " : "") + word;
    line_has_word = true;
  }
  return result + line + "\n";
}

std::string aligned(const Rows& rows, bool numbers) {
  std::vector<std::size_t> widths;
  for (const auto& row : rows)
    for (std::size_t i = 0; i < row.size(); ++i) {
      if (i >= widths.size()) widths.push_back(0);
      widths[i] = std::max(widths[i], columns_of(row[i]));
    }
  std::string text;
  for (const std::vector<std::size_t>& columns : columns_that_fit(widths))
    text += (text.empty() ? "" : "\n") + block(rows, columns, widths, numbers);
  return text;
}

Rows only_columns(const Rows& rows, const std::vector<std::size_t>& columns) {
  Rows result;
  for (const auto& row : rows) {
    result.emplace_back();
    for (const std::size_t column : columns)
      if (column < row.size()) result.back().push_back(row[column]);
  }
  return result;
}

}  // namespace pivotfix::report
