// SPDX-License-Identifier: Apache-2.0
#include "hardpoints/hardpoint_json_fields.h"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <set>
#include <string_view>

#include "base/suggestion.h"

namespace pivotfix {
namespace {

constexpr int deepest_nesting = 32;
constexpr std::size_t shortest_slip = 4;  // letters; shorter names are alike by chance

Place place_of_byte(const Source& source, std::size_t byte) {
  const std::string_view before = std::string_view(source.text).substr(0, std::min(byte, source.text.size()));
  const std::size_t last_break = before.rfind('\n');
  const std::size_t column =
      last_break == std::string_view::npos ? before.size() : before.size() - last_break - 1;
  return {source.file, 1 + static_cast<int>(std::count(before.begin(), before.end(), '\n')),
          static_cast<int>(column) + 1};
}

// What the job file calls by a name too unlike the one here for a slip of the pen.
struct OtherName {
  std::string_view of_job, here;
};
constexpr OtherName other_names[]{{"rod_end.spacers", "stock"}, {"wheel.toe", "toe_deg"}};

// The parsed tree has no positions, so look for the names in turn; at worst the line is that of the parent.
Place place_of(const Source& source, const Path& path) {
  std::size_t at = 0;
  bool found = false;
  for (const std::string& name : path) {
    const std::size_t next = source.text.find('"' + name + '"', at);
    if (next == std::string::npos) break;
    at = next;
    found = true;
  }
  Place place = found ? place_of_byte(source, at) : Place{source.file};
  place.column = 0;
  return place;
}

}  // namespace

std::string joined(const Path& path) {
  std::string text;
  for (const std::string& name : path) text += (text.empty() ? "" : ".") + name;
  return text;
}

void refuse(const Source& source, const Path& path, const std::string& what, const std::string& remedy) {
  throw Problem(ProblemKind::input, what, remedy, place_of(source, path));
}

// A photo, a job file or a page in place of a hardpoint file has no comma to look for.
void refuse_other_kinds(const Source& source) {
  const std::size_t first = source.text.find_first_not_of(" \t\r\n");
  if (first == std::string::npos || source.text[first] == '{') return;
  throw Problem(ProblemKind::input, "This is no hardpoint file.",
                "Name the hardpoints.json that \"pivotfix run\" or \"pivotfix locate\" wrote.",
                {source.file});
}

Json parse(const Source& source) {
  refuse_other_kinds(source);
  std::vector<std::set<std::string>> names;
  const auto watch = [&](int depth, Json::parse_event_t event, Json& parsed) {
    if (depth > deepest_nesting)
      throw Problem(ProblemKind::input, "The file is nested too deeply.", "This is no hardpoint file.",
                    {source.file});
    if (event == Json::parse_event_t::object_start) names.emplace_back();
    if (event == Json::parse_event_t::object_end) names.pop_back();
    if (event == Json::parse_event_t::key && !names.back().insert(parsed.get<std::string>()).second)
      refuse(source, {parsed.get<std::string>()},
             "The field '" + parsed.get<std::string>() + "' is given twice.", "Keep one of them.");
    return true;
  };
  try {
    return Json::parse(source.text, watch);
  } catch (const Json::parse_error& error) {
    const std::string message = error.what();
    const std::size_t detail = message.find("syntax error");
    throw Problem(
        ProblemKind::input,
        "This is not JSON: " + (detail == std::string::npos ? message : message.substr(detail)) + ".",
        "Look for a missing comma, quote or bracket just before.",
        place_of_byte(source, error.byte > 0 ? error.byte - 1 : 0));
  } catch (const Json::exception& error) {
    throw Problem(ProblemKind::input, "A number in the file is too large.", "Correct it.", {source.file});
  }
}

const Json& Fields::unknown() const {
  std::vector<std::string> known;
  for (const std::string& name : asked_for_)
    if (name.size() >= shortest_slip) known.push_back(name);
  for (const auto& item : left_.items()) {
    const std::string& name = item.key();
    const std::string whole = joined(path_to(name));
    for (const OtherName& other : other_names)
      if (whole == other.of_job)
        refuse(
            source_, path_to(name), "'" + whole + "' is no field of a hardpoint file.",
            "Here it is called \"" + std::string(other.here) + "\". A field of your own needs another name.");
    if (name.size() < shortest_slip || std::find(known.begin(), known.end(), name) != known.end()) continue;
    if (const std::string meant = nearest_word(name, known); !meant.empty())
      refuse(source_, path_to(name), "'" + whole + "' is no field of a hardpoint file.",
             "Did you mean \"" + meant + "\"? A field of your own needs a name less like it.");
  }
  return left_;
}

std::vector<double> numbers_from(const Json& list, std::size_t count, const Fields& fields,
                                 const std::string& name) {
  if (!list.is_array() || list.size() != count)
    fields.refuse_value(name, "must be a list of " + std::to_string(count) + " numbers");
  std::vector<double> values;
  for (const Json& value : list) values.push_back(fields.number_from(value, name));
  return values;
}

Eigen::MatrixXd rows_from(const Json& list, std::size_t rows, std::size_t columns, const Fields& fields,
                          const std::string& name) {
  if (!list.is_array() || list.size() != rows || rows == 0)
    fields.refuse_value(name, "must have " + std::to_string(rows) + " rows");
  Eigen::MatrixXd matrix(rows, columns);
  for (std::size_t r = 0; r < rows; ++r) {
    const std::vector<double> row = numbers_from(list[r], columns, fields, name);
    for (std::size_t c = 0; c < columns; ++c)
      matrix(static_cast<Eigen::Index>(r), static_cast<Eigen::Index>(c)) = row[c];
  }
  return matrix;
}

Json json_rows(const Eigen::MatrixXd& matrix) {
  Json rows = Json::array();
  for (Eigen::Index r = 0; r < matrix.rows(); ++r) {
    Json row = Json::array();
    for (Eigen::Index c = 0; c < matrix.cols(); ++c) row.push_back(matrix(r, c));
    rows.push_back(row);
  }
  return rows;
}

bool is_covariance(const Eigen::MatrixXd& matrix) {
  const double size = matrix.cwiseAbs().maxCoeff();
  if (!((matrix - matrix.transpose()).cwiseAbs().maxCoeff() <= 1e-6 * size)) return false;
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> eigen(matrix, Eigen::EigenvaluesOnly);
  return eigen.eigenvalues()[0] >= -1e-6 * size;
}

Eigen::Vector3d axis_from(Fields& fields, const std::string& name, int coordinate) {
  const std::vector<double> numbers = numbers_from(fields.take(name), 3, fields, name);
  Eigen::Vector3d axis(numbers[0], numbers[1], numbers[2]);
  const double length = axis.norm();
  if (!(length > 1e-6 && length < 1e6)) fields.refuse_value(name, "must be a direction");
  // An axis that is a unit vector already stays as it is to the last bit.
  if (std::abs(length - 1.0) > 1e-15) axis /= length;
  return axis[coordinate] < 0.0 ? Eigen::Vector3d(-axis) : axis;
}

}  // namespace pivotfix
