// SPDX-License-Identifier: Apache-2.0
// A parsed job file that knows where every value stands, so that every complaint has file, line and column.
// The only place, with its .cc, that sees toml++. Private to this folder.
#pragma once

#include <toml++/toml.h>

#include <Eigen/Core>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/problem.h"
#include "base/units.h"
#include "job/job.h"

namespace pivotfix {

// What holds for the whole file.
struct TomlFile {
  std::string name{};
  LengthUnit unit = LengthUnit::millimetre;
};

class TomlTable;

// One value and the key it belongs to. Every getter throws Problem(input) when the value is of another type.
class TomlValue {
 public:
  TomlValue(const TomlFile& file, const toml::node& node, std::string key)
      : file_(&file), node_(&node), key_(std::move(key)) {}

  std::string text() const;
  std::string length_as_written() const;  // with the file's unit after a bare number
  double number() const;
  int whole_number() const;
  bool yes_or_no() const;
  bool is_list() const { return node_->is_array(); }
  bool is_whole_number() const { return node_->is_integer(); }
  double length_mm() const;
  double angle_rad() const;
  int tag() const;
  std::pair<int, int> two_tags() const;  // different ones
  double positive_length_mm() const;
  // More than zero, from `least_mm` to `most_mm`: outside, a unit was mistaken.
  double length_between_mm(double least_mm, double most_mm) const;
  double angle_up_to_rad(double most_rad) const;  // either sign
  double sigma_mm() const;                        // zero or more
  Eigen::Vector3d lengths_mm() const;
  Eigen::Vector3d direction() const;  // unit vector
  std::vector<TomlValue> list() const;
  std::vector<TomlValue> list_of(std::size_t count) const;
  TomlTable table(std::string_view section, const std::string& name) const;
  std::vector<TomlTable> tables(std::string_view section, const std::string& name) const;

  const std::string& key() const { return key_; }
  Place place() const;
  [[noreturn]] void fail(const std::string& what_happened, const std::string& remedy) const;

  // Runs a converter that throws Problem without a place, and adds the place.
  template <typename Convert>
  auto at_place(Convert convert) const {
    try {
      return convert();
    } catch (const Problem& problem) {
      fail(problem.what_happened(), problem.remedy());
    }
  }

 private:
  [[noreturn]] void fail_type(const std::string& wanted, const std::string& example) const;

  const TomlFile* file_;
  const toml::node* node_;
  std::string key_;
};

inline constexpr std::string_view any_keys = "*";

// A table whose keys are checked against those of its section in job_sections(), unless that is `any_keys`.
class TomlTable {
 public:
  // `name` is for messages: "[axes]".
  TomlTable(const TomlFile& file, const toml::table& table, std::string_view section, std::string name);

  std::optional<TomlValue> find(std::string_view key) const;
  TomlValue require(std::string_view key, const std::string& example) const;
  // The same for a section; `heading` is "[axes]" or the like, with what stands below it.
  TomlValue require_section(std::string_view key, const std::string& heading) const;
  // Every key with its value, in the order of the file.
  std::vector<TomlValue> values() const;
  Place place() const;
  Place place_of_key(std::string_view key) const;
  const std::string& name() const { return name_; }

 private:
  const TomlFile* file_;
  const toml::table* table_;
  std::string name_;
};

// Throws Problem(input) when the text is not TOML. `name` is for messages.
toml::table parse_toml(const std::string& text, const std::string& name);

}  // namespace pivotfix
