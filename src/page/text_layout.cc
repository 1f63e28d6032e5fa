// SPDX-License-Identifier: Apache-2.0
#include "page/text_layout.h"

#include <algorithm>
#include <vector>

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

}  // namespace

std::string printable(std::string_view text) {
  std::string result;
  for (char c : text) result += static_cast<unsigned char>(c) < 0x20u || c == 0x7F ? ' ' : c;
  return result;
}

std::string wrapped(std::string_view text, const std::string& first) {
  std::string result;
  std::string line = first;
  const std::string indent(columns_of(first), ' ');
  bool line_has_word = false;
  const std::string words = printable(text);
  for (std::size_t start = 0; start < words.size();) {
    const std::size_t end = std::min(words.find(' ', start), words.size());
    const std::string word = words.substr(start, end - start);
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
  for (const auto& row : rows) {
    std::string line = " ";
    for (std::size_t i = 0; i < row.size(); ++i)
      line += " " + padded(printable(row[i]), widths[i], numbers && i > 0) + (i + 1 < row.size() ? " " : "");
    line.erase(line.find_last_not_of(' ') + 1);
    text += line + "\n";
  }
  return text;
}

}  // namespace pivotfix::report
