// SPDX-License-Identifier: Apache-2.0
#include "lens/yaml_text.h"

#include <charconv>
#include <cmath>

#include "base/problem.h"

namespace pivotfix {
namespace {

constexpr std::size_t longest_text = 1U << 20U;
constexpr int most_rows = 100;

std::string trimmed(std::string_view text) {
  const std::size_t first = text.find_first_not_of(" \t\r");
  if (first == std::string_view::npos) return {};
  return std::string(text.substr(first, text.find_last_not_of(" \t\r") - first + 1));
}

std::string unquoted(const std::string& text) {
  if (text.size() < 2 || text.front() != '"' || text.back() != '"') return text;
  std::string result;
  for (std::size_t i = 1; i + 1 < text.size(); ++i) {
    if (text[i] == '\\' && i + 2 < text.size()) ++i;
    result += text[i];
  }
  return result;
}

class Parser {
 public:
  Parser(const std::string& text, const std::string& name) : name_(name) {
    if (text.size() > longest_text) fail("This is too long for a lens file.");
    std::size_t start = 0;
    while (start < text.size()) {
      const std::size_t end = std::min(text.find('\n', start), text.size());
      lines_.push_back(text.substr(start, end - start));
      start = end + 1;
    }
  }

  std::map<std::string, YamlEntry> parse() {
    if (lines_.empty() || !lines_.front().starts_with("%YAML"))
      fail("This is no lens file: it does not begin with %YAML.");
    std::map<std::string, YamlEntry> entries;
    for (at_ = 1; at_ < lines_.size(); ++at_) {
      const std::string& line = lines_[at_];
      if (line.empty() || line.starts_with('#') || line.starts_with("---") || line.starts_with("...") ||
          line.front() == ' ' || line.front() == '\t' || line.front() == '\r')
        continue;  // an indented line belongs to an entry of another kind
      auto [key, value] = key_and_value(line);
      YamlEntry entry;
      entry.line = static_cast<int>(at_) + 1;
      entry.is_matrix = value == "!!opencv-matrix";
      if (entry.is_matrix)
        entry.matrix = matrix(key);
      else
        entry.scalar = unquoted(value);
      if (!entries.emplace(key, std::move(entry)).second) fail("\"" + key + "\" stands here twice.");
    }
    return entries;
  }

 private:
  [[noreturn]] void fail(const std::string& what) const {
    throw Problem(ProblemKind::input, what, "Make one with: pivotfix lens",
                  Place{name_, static_cast<int>(at_) + 1});
  }

  std::pair<std::string, std::string> key_and_value(const std::string& line) const {
    const std::size_t colon = line.find(':');
    if (colon == std::string::npos) fail("This line is not \"key: value\".");
    return {trimmed(line.substr(0, colon)), trimmed(std::string_view(line).substr(colon + 1))};
  }

  int count(const std::string& text, const std::string& key) const {
    int value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || end != text.data() + text.size() || value < 1 || value > most_rows)
      fail("\"" + key + "\" has no sensible number of rows and columns.");
    return value;
  }

  // Reads the indented lines after "key: !!opencv-matrix".
  Eigen::MatrixXd matrix(const std::string& key) {
    int rows = 0, columns = 0;
    while (at_ + 1 < lines_.size() && lines_[at_ + 1].starts_with(' ')) {
      const auto [part, value] = key_and_value(lines_[++at_]);
      if (part == "rows") rows = count(value, key);
      if (part == "cols") columns = count(value, key);
      if (part == "dt" && value != "d" && value != "f") fail("\"" + key + "\" is no matrix of real numbers.");
      if (part == "data") return numbers(value, key, rows, columns);
    }
    fail("The matrix \"" + key + "\" has no data.");
  }

  Eigen::MatrixXd numbers(std::string list, const std::string& key, int rows, int columns) {
    if (rows == 0 || columns == 0) fail("\"" + key + "\" does not say how many rows and columns it has.");
    while (list.find(']') == std::string::npos) {
      if (at_ + 1 >= lines_.size()) fail("The matrix \"" + key + "\" has no end.");
      list += " " + trimmed(lines_[++at_]);
    }
    if (!list.starts_with('[')) fail("\"data\" of \"" + key + "\" is no list in brackets.");
    list = list.substr(1, list.find(']') - 1);
    Eigen::MatrixXd result(rows, columns);
    std::size_t start = 0;
    for (Eigen::Index i = 0; i < result.size(); ++i) {
      if (start > list.size()) fail("\"" + key + "\" has too few numbers.");
      const std::size_t end = std::min(list.find(',', start), list.size());
      result(i / columns, i % columns) = yaml_number(
          trimmed(std::string_view(list).substr(start, end - start)), key, name_, static_cast<int>(at_) + 1);
      start = end + 1;
    }
    if (start <= list.size()) fail("\"" + key + "\" has too many numbers.");
    return result;
  }

  std::string name_;
  std::vector<std::string> lines_{};
  std::size_t at_ = 0;
};

}  // namespace

std::map<std::string, YamlEntry> parse_yaml_text(const std::string& text, const std::string& name) {
  return Parser(text, name).parse();
}

double yaml_number(const std::string& text, const std::string& key, const std::string& name, int line) {
  double value = 0.0;
  const char* const begin = text.data() + (text.starts_with('+') ? 1 : 0);
  const auto [end, error] = std::from_chars(begin, text.data() + text.size(), value);
  if (text.empty() || error != std::errc{} || end != text.data() + text.size() || !std::isfinite(value))
    throw Problem(ProblemKind::input, "\"" + text + "\" in \"" + key + "\" is no finite number.",
                  "Make the file anew with: pivotfix lens", Place{name, line});
  return value;
}

}  // namespace pivotfix
