// SPDX-License-Identifier: Apache-2.0
#include "job/blanks.h"

#include <algorithm>
#include <map>
#include <set>

#include "base/problem.h"

namespace pivotfix {
namespace {

constexpr std::string_view blank = "?";

// Within the limits of most lengths and angles that may be blank.
std::string stand_in(const std::string& key) {
  return key == "nose_up" || key == "left_up" ? "0 deg" : "250 mm";
}

bool is_blank(const toml::node& node) {
  const auto* text = node.as_string();
  return text != nullptr && text->get() == blank;
}

void note(const std::string& key, const toml::node& node, std::vector<Blank>& blanks) {
  const toml::source_position& at = node.source().begin;
  blanks.push_back({"", key, static_cast<int>(at.line), static_cast<int>(at.column)});
}

void take(const std::string& key, toml::node& node, std::vector<Blank>& blanks);

// A blank entry of a list leaves the list without it.
void take_from_list(const std::string& key, toml::array& list, std::vector<Blank>& blanks) {
  for (toml::node& node : list) is_blank(node) ? note(key, node, blanks) : take(key, node, blanks);
  for (auto entry = list.begin(); entry != list.end();)
    entry = is_blank(*entry) ? list.erase(entry) : std::next(entry);
}

void take(const std::string& key, toml::node& node, std::vector<Blank>& blanks) {
  if (auto* table = node.as_table())
    for (auto&& [inner_key, inner] : *table) take(std::string(inner_key.str()), inner, blanks);
  if (auto* list = node.as_array()) take_from_list(key, *list, blanks);
  if (!is_blank(node)) return;
  note(key, node, blanks);
  node.as_string()->get() = stand_in(key);
}

// "stand_off (line 50, 55); half_track (line 34)", in the order of the file.
std::string list_of(const std::vector<Blank>& blanks) {
  std::vector<std::string> keys;
  std::map<std::string, std::string> lines_of_key;
  for (const Blank& one : blanks) {
    std::string& lines = lines_of_key[one.key];
    if (lines.empty()) keys.push_back(one.key);
    lines += (lines.empty() ? "" : ", ") + std::to_string(one.line);
  }
  std::string list;
  for (const std::string& key : keys)
    list += (list.empty() ? "" : "; ") + key + " (line " + lines_of_key[key] + ")";
  return list;
}

}  // namespace

std::vector<Blank> take_blanks(toml::table& top) {
  std::vector<Blank> blanks;
  for (auto&& [key, node] : top) {
    const std::size_t before = blanks.size();
    take(std::string(key.str()), node, blanks);
    for (std::size_t i = before; i < blanks.size(); ++i) blanks[i].section = std::string(key.str());
  }
  std::stable_sort(blanks.begin(), blanks.end(),
                   [](const Blank& a, const Blank& b) { return a.line < b.line; });
  return blanks;
}

void refuse(const std::vector<Blank>& blanks, const std::filesystem::path& job_file) {
  const bool single = blanks.size() == 1;
  throw Problem(ProblemKind::input, "Still to be measured: " + list_of(blanks) + ".",
                std::string("Write the number in place of ") + (single ? "the" : "each") +
                    " \"?\", with its unit: \"25.4 mm\". The comment beside it says from where to where.",
                Place{job_file.string(), blanks.front().line, 0});
}

void refuse_blanks(const Job& job) {
  if (!job.blanks.empty()) refuse(job.blanks, job.file);
}

void refuse_blanks_beside_pivots(const Job& job) {
  static const std::set<std::string> sections = {"title",   "wheel",  "steering",
                                                 "rod_end", "travel", "readings"};
  std::vector<Blank> blanks = job.blanks;
  std::erase_if(blanks, [](const Blank& one) { return !sections.contains(one.section); });
  if (!blanks.empty()) refuse(blanks, job.file);
}

}  // namespace pivotfix
