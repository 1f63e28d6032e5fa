// SPDX-License-Identifier: Apache-2.0
// A parsed hardpoint file that knows where every field stands. Private to this folder.
#pragma once

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "base/problem.h"
#include "base/units.h"
#include "hardpoints/hardpoint_set.h"

namespace pivotfix {

using Json = nlohmann::ordered_json;
using Path = std::vector<std::string>;  // names of nested fields, outermost first

inline constexpr double largest_length_mm = 1e5;  // nothing on a car is 100 m long

struct Source {
  const std::string& text;
  const std::string& file;
};

std::string joined(const Path& path);

[[noreturn]] void refuse(const Source& source, const Path& path, const std::string& what,
                         const std::string& remedy);

// Refuses nesting that would exhaust the stack and names given twice, of which one would be lost silently.
Json parse(const Source& source);

// One JSON object whose fields are taken out one by one; what is left at the end is unknown to us.
class Fields {
 public:
  Fields(const Json& object, Path path, const Source& source)
      : left_(object), path_(std::move(path)), source_(source) {
    if (!object.is_object())
      refuse(source, path_,
             (path_.empty() ? "The file" : "'" + joined(path_) + "'") + " must be an object {...}.",
             "See the example in the documentation of the hardpoint file.");
  }

  bool has(const std::string& name) const {
    if (std::find(asked_for_.begin(), asked_for_.end(), name) == asked_for_.end()) asked_for_.push_back(name);
    return left_.contains(name);
  }

  Json take(const std::string& name) {
    if (!has(name))
      refuse(source_, path_, "The field '" + joined(path_to(name)) + "' is missing.", "Add it.");
    Json value = left_[name];
    left_.erase(name);
    return value;
  }

  std::string text(const std::string& name) {
    const Json value = take(name);
    if (!value.is_string()) refuse_value(name, "must be text in quotes");
    return value.get<std::string>();
  }
  bool flag(const std::string& name) {
    const Json value = take(name);
    if (!value.is_boolean()) refuse_value(name, "must be true or false");
    return value.get<bool>();
  }
  double number(const std::string& name) { return number_from(take(name), name); }
  double length_mm(const std::string& name, LengthUnit unit) { return length_from(take(name), name, unit); }

  double number_from(const Json& value, const std::string& name) const {
    if (!value.is_number() || !std::isfinite(value.get<double>())) refuse_value(name, "must be a number");
    return value.get<double>();
  }
  // A number in the file's unit, or text that carries its own.
  double length_from(const Json& value, const std::string& name, LengthUnit unit) const {
    double length = 0.0;
    if (value.is_string()) {
      try {
        length = parse_length_mm(value.get<std::string>(), unit);
      } catch (const Problem& problem) {
        refuse(source_, path_to(name), "'" + joined(path_to(name)) + "': " + problem.what_happened(),
               problem.remedy());
      }
    } else if (value.is_number()) {
      length = number_from(value, name) * (unit == LengthUnit::inch ? mm_per_inch : 1.0);
    } else {
      refuse_value(name, "must be a length: a number, or text such as \"0.200 in\"");
    }
    if (!(std::abs(length) <= largest_length_mm))
      refuse(source_, path_to(name), "'" + joined(path_to(name)) + "' is longer than any car.",
             "Correct it, or the file's units.");
    return length;
  }

  template <typename FromName>
  auto named(const std::string& name, FromName from_name) {
    const std::string value = text(name);
    try {
      return from_name(value);
    } catch (const Problem& problem) {
      refuse(source_, path_to(name), problem.what_happened(), problem.remedy());
    }
  }

  [[noreturn]] void refuse_value(const std::string& name, const std::string& why) const {
    refuse(source_, path_to(name), "'" + joined(path_to(name)) + "' " + why + ".", "Correct it.");
  }

  void keep(const std::string& name, const Json& unknown) {
    if (!unknown.empty()) left_[name] = unknown;
  }
  const Json& left() const { return left_; }
  // What is left once all known fields have been asked for. A name nearly like one of these was mistyped, or
  // is the job file's, and what it says would be lost without a word: refused.
  const Json& unknown() const;
  const Source& source() const { return source_; }
  Path path_to(const std::string& name) const {
    Path path = path_;
    path.push_back(name);
    return path;
  }

 private:
  Json left_;
  mutable std::vector<std::string> asked_for_{};
  Path path_;
  const Source& source_;
};

std::vector<double> numbers_from(const Json& list, std::size_t count, const Fields& fields,
                                 const std::string& name);

Eigen::MatrixXd rows_from(const Json& list, std::size_t rows, std::size_t columns, const Fields& fields,
                          const std::string& name);
Json json_rows(const Eigen::MatrixXd& matrix);

// Symmetric without negative eigenvalues, as far as rounding tells.
bool is_covariance(const Eigen::MatrixXd& matrix);

// A unit vector, the way round that makes `coordinate` positive.
Eigen::Vector3d axis_from(Fields& fields, const std::string& name, int coordinate);

void read_rod_end(Fields& file, LengthUnit unit, HardpointSet& set);
void read_driving(Fields& file, LengthUnit unit, HardpointSet& set);
void read_readings(Fields& file, LengthUnit unit, HardpointSet& set);
void read_record(Fields& file, HardpointSet& set);
// After the points and their covariance, which it continues.
void read_body_tags(Fields& file, LengthUnit unit, HardpointSet& set);

Json json_from(const Record& record);
Json json_from(const BodyTags& tags);

}  // namespace pivotfix
