// SPDX-License-Identifier: Apache-2.0
// Reading the hardpoint file: whatever is in it, the result is a sound set or a Problem that says where.
#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <set>

#include "base/problem.h"
#include "base/units.h"
#include "hardpoints/hardpoint_set.h"

namespace pivotfix {
namespace {

using Json = nlohmann::ordered_json;
using Path = std::vector<std::string>;  // names of nested fields, outermost first

constexpr int deepest_nesting = 32;
constexpr double largest_length_mm = 1e5;  // nothing on a car is 100 m long

struct Source {
  const std::string& text;
  const std::string& file;
};

Place place_of_byte(const Source& source, std::size_t byte) {
  const std::string_view before = std::string_view(source.text).substr(0, std::min(byte, source.text.size()));
  const std::size_t last_break = before.rfind('\n');
  const std::size_t column =
      last_break == std::string_view::npos ? before.size() : before.size() - last_break - 1;
  return {source.file, 1 + static_cast<int>(std::count(before.begin(), before.end(), '\n')),
          static_cast<int>(column) + 1};
}

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

std::string joined(const Path& path) {
  std::string text;
  for (const std::string& name : path) text += (text.empty() ? "" : ".") + name;
  return text;
}

[[noreturn]] void refuse(const Source& source, const Path& path, const std::string& what,
                         const std::string& remedy) {
  throw Problem(ProblemKind::input, what, remedy, place_of(source, path));
}

// Refuses nesting that would exhaust the stack and names given twice, of which one would be lost silently.
Json parse(const Source& source) {
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

  bool has(const std::string& name) const { return left_.contains(name); }

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
    if (!(std::abs(length) <= largest_length_mm)) refuse_value(name, "is longer than any car");
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
  const Source& source() const { return source_; }
  Path path_to(const std::string& name) const {
    Path path = path_;
    path.push_back(name);
    return path;
  }

 private:
  Json left_;
  Path path_;
  const Source& source_;
};

std::vector<double> numbers_from(const Json& list, std::size_t count, const Fields& fields,
                                 const std::string& name) {
  if (!list.is_array() || list.size() != count)
    fields.refuse_value(name, "must be a list of " + std::to_string(count) + " numbers");
  std::vector<double> values;
  for (const Json& value : list) values.push_back(fields.number_from(value, name));
  return values;
}

// "sigma": one number for all three coordinates, or a list of three.
Eigen::Vector3d sigma_from(const Json& value, const Fields& fields, LengthUnit unit) {
  Eigen::Vector3d sigma;
  if (value.is_array() && value.size() != 3) fields.refuse_value("sigma", "must be one length or three");
  for (std::size_t i = 0; i < 3; ++i) {
    sigma[static_cast<Eigen::Index>(i)] =
        fields.length_from(value.is_array() ? value[i] : value, "sigma", unit);
    if (sigma[static_cast<Eigen::Index>(i)] < 0.0) fields.refuse_value("sigma", "must not be negative");
  }
  return sigma;
}

void read_points(Fields& file, LengthUnit unit, HardpointSet& set) {
  Fields list(file.take("hardpoints"), {"hardpoints"}, file.source());
  const std::vector<std::string>& known = hardpoint_names(set.layout);
  std::vector<Eigen::Vector3d> sigmas;
  const Json all = list.left();
  for (const auto& item : all.items()) {
    const std::string& name = item.key();
    if (std::find(known.begin(), known.end(), name) == known.end())
      refuse(file.source(), list.path_to(name),
             "'" + name + "' is no hardpoint of a " + std::string(name_of(set.layout)) + " corner.",
             "Correct the name or the layout; the names are in the documentation of the hardpoint file.");
    Fields fields(list.take(name), list.path_to(name), file.source());
    Hardpoint point{name};
    for (int c = 0; c < 3; ++c)
      point.position_vehicle_mm[c] = fields.length_mm(std::string(1, "xyz"[c]), unit);
    if (fields.has("sigma")) sigmas.push_back(sigma_from(fields.take("sigma"), fields, unit));
    if (fields.has("way")) point.way = fields.text("way");
    set.points.push_back(point);
    list.keep(name, fields.left());
    if (!sigmas.empty() && sigmas.size() != set.points.size())
      refuse(file.source(), list.path_to(name),
             "Some hardpoints have a sigma and others have none, see '" + name + "'.",
             "Give every hardpoint its sigma, or none.");
  }
  file.keep("hardpoints", list.left());
  if (sigmas.empty()) return;
  set.covariance_mm2 = Eigen::MatrixXd::Zero(3 * sigmas.size(), 3 * sigmas.size());
  for (std::size_t i = 0; i < sigmas.size(); ++i)
    set.covariance_mm2.diagonal().segment<3>(static_cast<Eigen::Index>(3 * i)) = sigmas[i].cwiseAbs2();
}

// Index into set.points for every name of "order".
std::vector<std::size_t> order_from(Fields& fields, const HardpointSet& set) {
  const Json list = fields.take("order");
  std::vector<std::size_t> order;
  std::set<std::string> seen;
  for (const Json& name : list.is_array() ? list : Json::array()) {
    const auto found = std::find_if(set.points.begin(), set.points.end(), [&](const Hardpoint& point) {
      return name.is_string() && point.name == name.get<std::string>();
    });
    if (found == set.points.end() || !seen.insert(found->name).second) break;
    order.push_back(static_cast<std::size_t>(found - set.points.begin()));
  }
  if (!list.is_array() || order.size() != list.size() || order.size() != set.points.size())
    fields.refuse_value("order", "must list the names of all hardpoints of the file, each once");
  return order;
}

void check_covariance(const Fields& fields, const HardpointSet& set, const Eigen::MatrixXd& covariance) {
  const double size = covariance.cwiseAbs().maxCoeff();
  const bool symmetric = (covariance - covariance.transpose()).cwiseAbs().maxCoeff() <= 1e-6 * size;
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> eigen(covariance, Eigen::EigenvaluesOnly);
  if (!symmetric || eigen.eigenvalues()[0] < -1e-6 * size)
    fields.refuse_value("mm2", "is no covariance: it must be symmetric without negative eigenvalues");
  if (set.covariance_mm2.size() == 0) return;
  for (Eigen::Index i = 0; i < covariance.rows(); ++i) {
    const double sigma = std::sqrt(set.covariance_mm2(i, i));
    if (std::abs(sigma - std::sqrt(std::max(0.0, covariance(i, i)))) > 1e-3 + 1e-3 * sigma)
      fields.refuse_value("mm2", "does not agree with the sigma of '" +
                                     set.points[static_cast<std::size_t>(i / 3)].name +
                                     "'; take out the covariance if you changed a sigma by hand");
  }
}

void read_covariance(Fields& file, HardpointSet& set) {
  if (!file.has("covariance")) return;
  Fields fields(file.take("covariance"), {"covariance"}, file.source());
  const std::vector<std::size_t> order = order_from(fields, set);
  const std::size_t n = 3 * order.size();
  const Json rows = fields.take("mm2");
  if (!rows.is_array() || rows.size() != n || n == 0)
    fields.refuse_value("mm2", "must have three rows for every hardpoint");
  Eigen::MatrixXd covariance(n, n);
  const auto to = [&](std::size_t i) { return static_cast<Eigen::Index>(3 * order[i / 3] + i % 3); };
  for (std::size_t r = 0; r < n; ++r) {
    const std::vector<double> row = numbers_from(rows[r], n, fields, "mm2");
    for (std::size_t c = 0; c < n; ++c) covariance(to(r), to(c)) = row[c];
  }
  check_covariance(fields, set, covariance);
  set.covariance_mm2 = 0.5 * (covariance + covariance.transpose());
  file.keep("covariance", fields.left());
}

std::vector<Spacer> spacers_from(Fields& rod_end, const std::string& name, LengthUnit unit) {
  std::vector<Spacer> spacers;
  if (!rod_end.has(name)) return spacers;
  const Json list = rod_end.take(name);
  if (!list.is_array()) rod_end.refuse_value(name, "must be a list of spacers");
  for (const Json& item : list) {
    Fields fields(item, rod_end.path_to(name), rod_end.source());
    const Json thickness = fields.take("thickness");
    Spacer spacer;
    spacer.thickness_mm = fields.length_from(thickness, "thickness", unit);
    if (!(spacer.thickness_mm > 0.0)) fields.refuse_value("thickness", "must be more than zero");
    if (fields.has("count")) {
      const double count = fields.number("count");
      if (count != std::floor(count) || count < 0.0 || count > 1000.0)
        fields.refuse_value("count", "must be a whole number from 0 to 1000");
      spacer.count = static_cast<int>(count);
    }
    if (fields.has("label")) spacer.label = fields.text("label");
    if (spacer.label.empty())
      spacer.label = thickness.is_string()
                         ? thickness.get<std::string>()
                         : format_length(spacer.thickness_mm, unit, unit == LengthUnit::inch ? 3 : 2);
    // Fields in a list cannot be put back where they were, and here they are most likely misspelt.
    if (!fields.left().empty()) fields.refuse_value(fields.left().begin().key(), "is no field of a spacer");
    spacers.push_back(spacer);
  }
  return spacers;
}

void read_wheel(Fields& file, LengthUnit unit, HardpointSet& set) {
  if (!file.has("wheel")) return;
  Fields fields(file.take("wheel"), {"wheel"}, file.source());
  const auto angle_rad = [&](const std::string& name) {
    const double angle_deg = fields.number(name);
    if (std::abs(angle_deg) > 45.0) fields.refuse_value(name, "must be between -45 and 45 degrees");
    return rad_from_deg(angle_deg);
  };
  set.wheel.toe_rad = angle_rad("toe_deg");
  set.wheel.camber_rad = angle_rad("camber_deg");
  if (fields.has("rim_diameter")) set.wheel.rim_diameter_mm = fields.length_mm("rim_diameter", unit);
  if (!(set.wheel.rim_diameter_mm > 0.0)) fields.refuse_value("rim_diameter", "must be more than zero");
  file.keep("wheel", fields.left());
}

void read_rod_end(Fields& file, LengthUnit unit, HardpointSet& set) {
  if (!file.has("rod_end")) return;
  Fields fields(file.take("rod_end"), {"rod_end"}, file.source());
  RodEnd rod_end;
  if (fields.has("stud_axis")) {
    const std::vector<double> axis = numbers_from(fields.take("stud_axis"), 3, fields, "stud_axis");
    rod_end.stud_axis_vehicle = {axis[0], axis[1], axis[2]};
    const double length = rod_end.stud_axis_vehicle.norm();
    if (!(length > 1e-6 && length < 1e6)) fields.refuse_value("stud_axis", "must be a direction");
    // An axis that is a unit vector already stays as it is to the last bit.
    if (std::abs(length - 1.0) > 1e-15) rod_end.stud_axis_vehicle /= length;
    if (rod_end.stud_axis_vehicle.z() < 0.0) rod_end.stud_axis_vehicle *= -1.0;
  }
  rod_end.mount = fields.named("mount", rod_end_mount_from_name);
  rod_end.between_now = spacers_from(fields, "between_now", unit);
  rod_end.stock = spacers_from(fields, "stock", unit);
  set.rod_end = rod_end;
  file.keep("rod_end", fields.left());
}

void read_travel(Fields& file, LengthUnit unit, HardpointSet& set) {
  if (!file.has("travel")) return;
  Fields fields(file.take("travel"), {"travel"}, file.source());
  const auto travel_mm = [&](const std::string& name) {
    const double length = fields.length_mm(name, unit);
    if (length < 0.0 || length > 1000.0) fields.refuse_value(name, "must be between 0 and 1000 mm");
    return length;
  };
  set.travel = Travel{travel_mm("bump"), travel_mm("droop")};
  file.keep("travel", fields.left());
}

void check_format(Fields& file) {
  if (file.text("format") != "pivotfix-hardpoints")
    file.refuse_value("format", "must be \"pivotfix-hardpoints\"");
  if (file.number("version") != 1.0)
    refuse(file.source(), {"version"}, "The file's version is not 1.",
           "Use the version of the program that wrote it.");
}

LengthUnit unit_from(Fields& file) {
  const std::string unit = file.text("units");
  if (unit != "mm" && unit != "in") file.refuse_value("units", "must be \"mm\" or \"in\"");
  return unit == "in" ? LengthUnit::inch : LengthUnit::millimetre;
}

}  // namespace

HardpointSet hardpoints_from_json(const std::string& text, const std::string& file_name) {
  const Source source{text, file_name};
  Fields file(parse(source), {}, source);
  check_format(file);
  HardpointSet set;
  if (file.has("title")) set.title = file.text("title");
  if (file.has("program")) set.program_version = file.text("program");
  if (file.has("axes")) file.text("axes");  // says what is always so
  set.side = file.named("side", side_from_name);
  set.layout = file.named("layout", layout_from_name);
  const LengthUnit unit = unit_from(file);
  read_points(file, unit, set);
  read_covariance(file, set);
  read_wheel(file, unit, set);
  read_rod_end(file, unit, set);
  read_travel(file, unit, set);
  if (!file.left().empty()) set.other_fields_json = file.left().dump();
  return set;
}

}  // namespace pivotfix
