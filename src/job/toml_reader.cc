// SPDX-License-Identifier: Apache-2.0
#include "job/toml_reader.h"

#include <algorithm>
#include <cmath>

#include "base/suggestion.h"
#include "tags/tags.h"

namespace pivotfix {
namespace {

constexpr double least_length_mm = 1e-6;

Place place_at(const std::string& file, const toml::source_position& position) {
  return {file, static_cast<int>(position.line), static_cast<int>(position.column)};
}

std::string type_in_words(const toml::node& node) {
  switch (node.type()) {
    case toml::node_type::string:
      return "a text";
    case toml::node_type::integer:
      return "a whole number";
    case toml::node_type::floating_point:
      return "a number";
    case toml::node_type::boolean:
      return "true or false";
    case toml::node_type::array:
      return "a list";
    case toml::node_type::table:
      return "a table";
    default:
      return "a date or time";
  }
}

// What the parser takes on trust and a stranger's file may break: it does not limit how many parts a dotted
// key has, and a tree as deep as a file is long ends the program when it is taken down; and it does not look
// whether a table's header begins with a key. Follows TOML 1.0 as far as quotes, comments and brackets go;
// what it takes wrongly is no TOML anyway.
class Precheck {
 public:
  Precheck(std::string_view text, const std::string& name) : text_(text), name_(name) {}

  void run() {
    if (text_.starts_with("\xEF\xBB\xBF")) at_ = 3;  // the mark that some editors put first
    for (; at_ < text_.size(); ++at_) {
      const char c = text_[at_];
      if (c == '"' || c == '\'')
        skip_text(c);
      else if (c == '#')
        at_ = std::min(text_.find('\n', at_), text_.size()) - 1;
      else
        take(c);
    }
  }

 private:
  [[noreturn]] void fail(const std::string& what, const std::string& remedy) const {
    const auto before = text_.substr(0, at_);
    throw Problem(ProblemKind::input, what, remedy,
                  {name_, 1 + static_cast<int>(std::count(before.begin(), before.end(), '\n'))});
  }

  void take(char c) {
    constexpr int most_dots = 32;  // the job's own keys have three
    if (c == '.' && ++dots_ > most_dots)
      fail("A key has more than " + std::to_string(most_dots) + " parts.",
           "No key of this file has as many.");
    if (static_cast<unsigned char>(c) >= 0x80)
      fail("A letter outside quotes is not plain ASCII.", "Texts need quotes, and blanks plain spaces.");
    if (std::string_view("=,[]{}\n").find(c) != std::string_view::npos) dots_ = 0;
    if (c == '[' && depth_ == 0 && line_is_empty_) check_header();
    if (c == '[' || c == '{') ++depth_;
    if ((c == ']' || c == '}') && depth_ > 0) --depth_;
    if (c == '\n')
      line_is_empty_ = true;
    else if (c != ' ' && c != '\t')
      line_is_empty_ = false;
  }

  void skip_text(char mark) {
    line_is_empty_ = false;
    const std::string three(3, mark);
    const std::string end = text_.substr(at_, 3) == three ? three : three.substr(0, 1);
    for (at_ += end.size(); at_ < text_.size(); ++at_) {
      if (text_[at_] == '\\' && mark == '"') {
        ++at_;
        continue;
      }
      if (end.size() == 1 && text_[at_] == '\n') {
        --at_;  // an error that the parser tells; the line is still to be taken
        return;
      }
      if (text_.substr(at_, end.size()) != end) continue;
      at_ += end.size() - 1;
      return;
    }
  }

  void check_header() const {
    std::size_t i = at_ + 1;
    if (text_.substr(i, 1) == "[") ++i;
    i = std::min(text_.find_first_not_of(" \t", i), text_.size());
    const char first = i < text_.size() ? text_[i] : ']';
    const bool may_begin_a_key = (first >= 'A' && first <= 'Z') || (first >= 'a' && first <= 'z') ||
                                 (first >= '0' && first <= '9') ||
                                 std::string_view("_-\"'[]").find(first) != std::string_view::npos;
    if (!may_begin_a_key)
      fail("This is no name of a section.", "Write it like [axes] or [[photos]], or with quotes.");
  }

  std::string_view text_;
  const std::string& name_;
  std::size_t at_ = 0;
  int dots_ = 0, depth_ = 0;
  bool line_is_empty_ = true;
};

const JobSection& section_named(std::string_view name) {
  for (const JobSection& section : job_sections())
    if (section.name == name) return section;
  throw Problem(ProblemKind::internal, "No section \"" + std::string(name) + "\".", "");
}

}  // namespace

Place TomlValue::place() const {
  return place_at(file_->name, node_->source().begin);
}

void TomlValue::fail(const std::string& what_happened, const std::string& remedy) const {
  throw Problem(ProblemKind::input, what_happened, remedy, place());
}

void TomlValue::fail_type(const std::string& wanted, const std::string& example) const {
  fail("\"" + key_ + "\" must be " + wanted + ", but here is " + type_in_words(*node_) + ".",
       "Write it like " + example + ".");
}

std::string TomlValue::text() const {
  const auto value = node_->value_exact<std::string>();
  if (!value) fail_type("a text", "\"this\"");
  return *value;
}

double TomlValue::number() const {
  if (!node_->is_number()) fail_type("a number", "0.5");
  const double value = *node_->value<double>();
  if (!std::isfinite(value)) fail("\"" + key_ + "\" is not a finite number.", "Write it like 0.5.");
  return value;
}

int TomlValue::whole_number() const {
  const auto value = node_->value_exact<std::int64_t>();
  if (!value) fail_type("a whole number", "2");
  if (*value < -1'000'000 || *value > 1'000'000)
    fail("\"" + key_ + "\" is " + std::to_string(*value) + ", which is out of any range.", "");
  return static_cast<int>(*value);
}

bool TomlValue::yes_or_no() const {
  if (!node_->is_boolean()) fail_type("true or false", "true");
  return *node_->value<bool>();
}

double TomlValue::length_mm() const {
  constexpr double longest_mm = 1e6;
  double value = 0.0;
  if (const auto text = node_->value_exact<std::string>())
    value = at_place([&] { return parse_length_mm(*text, file_->unit); });
  else if (!node_->is_number())
    fail_type("a length", "25.4 or \"25.4 mm\" or \"0.200 in\"");
  else
    value = number() * (file_->unit == LengthUnit::inch ? mm_per_inch : 1.0);
  if (!(std::abs(value) <= longest_mm))
    fail("\"" + key_ + "\" is longer than a kilometre.", "Check its unit and its decimal point.");
  return value;
}

std::string TomlValue::length_as_written() const {
  if (const auto value = node_->value_exact<std::string>())
    return pivotfix::length_as_written(*value, file_->unit);
  std::string digits = format_fixed(number(), 6);
  digits.erase(digits.find_last_not_of('0') + 1);
  if (digits.ends_with('.')) digits.pop_back();
  return pivotfix::length_as_written(digits, file_->unit);
}

double TomlValue::angle_rad() const {
  double value = 0.0;
  if (const auto text = node_->value_exact<std::string>())
    value = at_place([&] { return parse_angle_rad(*text); });
  else if (!node_->is_number())
    fail_type("an angle", "0.1 (degrees) or \"6 min\"");
  else
    value = rad_from_deg(number());
  if (!(std::abs(value) <= rad_from_deg(360.0)))
    fail("\"" + key_ + "\" is more than a whole turn.", "Check its unit and its decimal point.");
  return value;
}

int TomlValue::tag() const {
  if (!node_->is_integer()) fail_type("a tag number", "11");
  const std::int64_t value = *node_->value_exact<std::int64_t>();
  if (value < 0 || value >= tag_family_size)
    fail("There is no tag " + std::to_string(value) + ".",
         "Tags have the numbers 0 to " + std::to_string(tag_family_size - 1) + ".");
  return static_cast<int>(value);
}

std::pair<int, int> TomlValue::two_tags() const {
  const std::vector<TomlValue> values = list_of(2);
  const std::pair<int, int> tags{values[0].tag(), values[1].tag()};
  if (tags.first == tags.second)
    values[1].fail("\"" + key_ + "\" names tag " + std::to_string(tags.first) + " twice.",
                   "It needs two different tags.");
  return tags;
}

double TomlValue::positive_length_mm() const {
  const double value = length_mm();
  if (!(value > 0.0)) fail("\"" + key_ + "\" must be more than zero.", "");
  if (value < least_length_mm)
    fail("\"" + key_ + "\" is smaller than anybody can measure.", "Check its unit and its decimal point.");
  return value;
}

double TomlValue::length_between_mm(double least_mm, double most_mm) const {
  const double value = positive_length_mm();
  if (value < least_mm || value > most_mm)
    fail("\"" + key_ + "\" is " + format_length(value, LengthUnit::millimetre, 2) + ", but may be " +
             format_fixed(least_mm, 0) + " to " + format_fixed(most_mm, 0) + " mm.",
         "Check the unit: a text carries its own, \"29.5 in\".");
  return value;
}

double TomlValue::angle_up_to_rad(double most_rad) const {
  const double value = angle_rad();
  if (std::abs(value) > most_rad)
    fail("\"" + key_ + "\" is " + format_fixed(deg_from_rad(value), 2) + " degrees, but may be " +
             format_fixed(deg_from_rad(most_rad), 0) + " at most.",
         "Check the unit: a text carries its own, \"6 min\".");
  return value;
}

double TomlValue::sigma_mm() const {
  const double value = length_mm();
  if (!(value >= 0.0))
    fail("\"" + key_ + "\" must not be negative.",
         "It is a standard uncertainty: two thirds of tries lie within.");
  if (value > 0.0 && value < least_length_mm)
    fail("\"" + key_ + "\" is smaller than anybody can measure.", "Check its unit and its decimal point.");
  return value;
}

std::vector<TomlValue> TomlValue::list() const {
  const toml::array* array = node_->as_array();
  if (array == nullptr) fail_type("a list", "[1, 2]");
  std::vector<TomlValue> values;
  for (const toml::node& node : *array) values.emplace_back(*file_, node, key_);
  return values;
}

std::vector<TomlValue> TomlValue::list_of(std::size_t count) const {
  std::vector<TomlValue> values = list();
  if (values.size() != count)
    fail("\"" + key_ + "\" needs " + std::to_string(count) + " entries, but here are " +
             std::to_string(values.size()) + ".",
         "");
  return values;
}

Eigen::Vector3d TomlValue::lengths_mm() const {
  const std::vector<TomlValue> values = list_of(3);
  return {values[0].length_mm(), values[1].length_mm(), values[2].length_mm()};
}

Eigen::Vector3d TomlValue::direction() const {
  const std::vector<TomlValue> values = list_of(3);
  const Eigen::Vector3d vector(values[0].number(), values[1].number(), values[2].number());
  if (!(vector.norm() > 1e-9)) fail("\"" + key_ + "\" has no direction: all of it is zero.", "");
  if (!(vector.norm() < 1e9))
    fail("\"" + key_ + "\" is too large for a direction.", "Write it like [0, 0, 1].");
  return vector.normalized();
}

TomlTable TomlValue::table(std::string_view section, const std::string& name) const {
  const toml::table* table = node_->as_table();
  if (table == nullptr) fail_type("a table", name);
  return {*file_, *table, section, name};
}

std::vector<TomlTable> TomlValue::tables(std::string_view section, const std::string& name) const {
  if (!node_->is_array()) fail_type("a list of tables", name);
  std::vector<TomlTable> tables;
  for (const TomlValue& value : list()) tables.push_back(value.table(section, name));
  // cppcheck-suppress returnDanglingLifetime ; tables point into the file, not at the values they came from
  return tables;
}

TomlTable::TomlTable(const TomlFile& file, const toml::table& table, std::string_view section,
                     std::string name)
    : file_(&file), table_(&table), name_(std::move(name)) {
  if (section == any_keys) return;
  const std::vector<std::string>& known = section_named(section).keys;
  for (const TomlValue& value : values())
    if (std::find(known.begin(), known.end(), value.key()) == known.end())
      throw Problem(ProblemKind::input, "Unknown key \"" + value.key() + "\" in " + name_ + ".",
                    suggestion(value.key(), known), place_of_key(value.key()));
}

std::optional<TomlValue> TomlTable::find(std::string_view key) const {
  const toml::node* node = table_->get(key);
  if (node == nullptr) return std::nullopt;
  return TomlValue(*file_, *node, std::string(key));
}

TomlValue TomlTable::require(std::string_view key, const std::string& example) const {
  if (auto value = find(key)) return *value;
  throw Problem(ProblemKind::input, "\"" + std::string(key) + "\" is missing in " + name_ + ".",
                "Add a line like: " + std::string(key) + " = " + example, place());
}

TomlValue TomlTable::require_section(std::string_view key, const std::string& heading) const {
  if (auto value = find(key)) return *value;
  throw Problem(ProblemKind::input, "The section \"" + std::string(key) + "\" is missing in " + name_ + ".",
                "Add a section " + heading + ".", place());
}

std::vector<TomlValue> TomlTable::values() const {
  std::vector<TomlValue> values;
  for (auto&& [key, node] : *table_) values.emplace_back(*file_, node, std::string(key.str()));
  const auto before = [this](const TomlValue& a, const TomlValue& b) {
    const Place one = place_of_key(a.key());
    const Place other = place_of_key(b.key());
    return one.line != other.line ? one.line < other.line : one.column < other.column;
  };
  std::stable_sort(values.begin(), values.end(), before);
  return values;
}

Place TomlTable::place() const {
  return place_at(file_->name, table_->source().begin);
}

Place TomlTable::place_of_key(std::string_view key) const {
  const auto found = table_->find(key);
  return found == table_->end() ? place() : place_at(file_->name, found->first.source().begin);
}

toml::table parse_toml(const std::string& text, const std::string& name) {
  Precheck(text, name).run();
  try {
    return toml::parse(text, name);
  } catch (const toml::parse_error& error) {
    std::string description(error.description());
    if (!description.empty() && description.back() == '.') description.pop_back();
    throw Problem(ProblemKind::input, "This line cannot be read as TOML: " + description + ".",
                  "Texts need quotes, lists need brackets.", place_at(name, error.source().begin));
  }
}

}  // namespace pivotfix
