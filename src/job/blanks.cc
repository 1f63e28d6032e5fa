// SPDX-License-Identifier: Apache-2.0
#include "job/blanks.h"

#include <algorithm>
#include <map>

#include "base/problem.h"

namespace pivotfix {
namespace {

constexpr std::string_view blank = "?";
constexpr std::string_view stand_in = "250 mm";  // within the limits of every length that may be blank

bool is_blank(const toml::node& node) {
  const auto* text = node.as_string();
  return text != nullptr && text->get() == blank;
}

void take(toml::table& table, std::vector<Blank>& blanks);

// A blank entry of a list leaves the list without it.
void take(const std::string& key, toml::array& list, std::vector<Blank>& blanks) {
  for (toml::node& node : list) {
    if (auto* table = node.as_table()) take(*table, blanks);
    if (auto* inner = node.as_array()) take(key, *inner, blanks);
    if (is_blank(node)) blanks.push_back({key, static_cast<int>(node.source().begin.line)});
  }
  for (auto entry = list.begin(); entry != list.end();)
    entry = is_blank(*entry) ? list.erase(entry) : std::next(entry);
}

void take(toml::table& table, std::vector<Blank>& blanks) {
  for (auto&& [key, node] : table) {
    if (auto* inner = node.as_table()) take(*inner, blanks);
    if (auto* list = node.as_array()) take(std::string(key.str()), *list, blanks);
    if (!is_blank(node)) continue;
    blanks.push_back({std::string(key.str()), static_cast<int>(node.source().begin.line)});
    node.as_string()->get() = stand_in;
  }
}

}  // namespace

std::vector<Blank> take_blanks(toml::table& top) {
  std::vector<Blank> blanks;
  take(top, blanks);
  std::stable_sort(blanks.begin(), blanks.end(),
                   [](const Blank& a, const Blank& b) { return a.line < b.line; });
  return blanks;
}

void refuse_blanks(const Job& job) {
  if (job.blanks.empty()) return;
  std::vector<std::string> keys;  // in the order of the file
  std::map<std::string, std::string> lines_of_key;
  for (const Blank& one : job.blanks) {
    std::string& lines = lines_of_key[one.key];
    if (lines.empty()) keys.push_back(one.key);
    lines += (lines.empty() ? "" : ", ") + std::to_string(one.line);
  }
  std::string list;
  for (const std::string& key : keys)
    list += (list.empty() ? "" : "; ") + key + " (line " + lines_of_key[key] + ")";
  const bool single = job.blanks.size() == 1;
  throw Problem(ProblemKind::input, "Still to be measured: " + list + ".",
                std::string("Write the number in place of ") + (single ? "the" : "each") +
                    " \"?\", with its unit: \"25.4 mm\". The comment beside it says from where to where.",
                Place{job.file.string(), job.blanks.front().line, 0});
}

}  // namespace pivotfix
