// SPDX-License-Identifier: Apache-2.0
// Reading the hardpoint file: whatever is in it, the result is a sound set or a Problem that says where.
#include <algorithm>
#include <cmath>
#include <set>

#include "hardpoints/hardpoint_json_fields.h"

namespace pivotfix {
namespace {

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
    point.on_line_only = fields.has("on_line_only") && fields.flag("on_line_only");
    set.points.push_back(point);
    list.keep(name, fields.unknown());
    if (!sigmas.empty() && sigmas.size() != set.points.size())
      refuse(file.source(), list.path_to(name),
             "Some hardpoints have a sigma and others have none, see '" + name + "'.",
             "Give every hardpoint its sigma, or none.");
  }
  file.keep("hardpoints", list.unknown());
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
  if (!is_covariance(covariance))
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
  const Eigen::MatrixXd as_filed = rows_from(fields.take("mm2"), n, n, fields, "mm2");
  Eigen::MatrixXd covariance(n, n);
  const auto to = [&](Eigen::Index i) {
    return static_cast<Eigen::Index>(3 * order[static_cast<std::size_t>(i / 3)]) + i % 3;
  };
  for (Eigen::Index r = 0; r < as_filed.rows(); ++r)
    for (Eigen::Index c = 0; c < as_filed.cols(); ++c) covariance(to(r), to(c)) = as_filed(r, c);
  check_covariance(fields, set, covariance);
  set.covariance_mm2 = 0.5 * (covariance + covariance.transpose());
  file.keep("covariance", fields.unknown());
}

void read_wheel(Fields& file, LengthUnit unit, HardpointSet& set) {
  if (!file.has("wheel")) return;
  Fields fields(file.take("wheel"), {"wheel"}, file.source());
  const auto angle_rad = [&](const std::string& name) {
    const double angle_deg = fields.number(name);
    if (std::abs(angle_deg) > 45.0) fields.refuse_value(name, "must be between -45 and 45 degrees");
    return rad_from_deg(angle_deg);
  };
  set.wheel.toe_is_known = fields.has("toe_deg");
  if (set.wheel.toe_is_known) set.wheel.toe_rad = angle_rad("toe_deg");
  set.wheel.camber_is_known = fields.has("camber_deg");
  if (set.wheel.camber_is_known) set.wheel.camber_rad = angle_rad("camber_deg");
  for (const char* name : {"camber_sigma_deg", "camber_from_photos"})
    if (fields.has(name) && !set.wheel.camber_is_known) fields.refuse_value(name, "needs camber_deg");
  if (fields.has("camber_sigma_deg")) set.wheel.camber_sigma_rad = angle_rad("camber_sigma_deg");
  if (set.wheel.camber_sigma_rad < 0.0) fields.refuse_value("camber_sigma_deg", "must not be negative");
  set.wheel.camber_from_photos = fields.has("camber_from_photos") && fields.flag("camber_from_photos");
  if (fields.has("rim_diameter")) set.wheel.rim_diameter_mm = fields.length_mm("rim_diameter", unit);
  if (!(set.wheel.rim_diameter_mm > 0.0)) fields.refuse_value("rim_diameter", "must be more than zero");
  file.keep("wheel", fields.unknown());
}

void read_steering(Fields& file, HardpointSet& set) {
  if (!file.has("steering")) return;
  Fields fields(file.take("steering"), {"steering"}, file.source());
  if (fields.has("inner_joint_travel")) set.rack_axis_vehicle = axis_from(fields, "inner_joint_travel", 1);
  file.keep("steering", fields.unknown());
}

void read_ride_height(Fields& file, LengthUnit unit, HardpointSet& set) {
  if (!file.has("ride_height")) return;
  Fields fields(file.take("ride_height"), {"ride_height"}, file.source());
  RideHeightMiss miss;
  miss.above_mm = fields.length_mm("above", unit);
  if (fields.has("sigma")) miss.sigma_mm = fields.length_mm("sigma", unit);
  if (miss.sigma_mm < 0.0) fields.refuse_value("sigma", "must not be negative");
  set.ride_height = miss;
  file.keep("ride_height", fields.unknown());
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
  read_record(file, set);
  read_body_tags(file, unit, set);
  read_wheel(file, unit, set);
  read_steering(file, set);
  read_ride_height(file, unit, set);
  read_rod_end(file, unit, set);
  read_driving(file, unit, set);
  read_readings(file, unit, set);
  if (const Json& unknown = file.unknown(); !unknown.empty()) set.other_fields_json = unknown.dump();
  return set;
}

}  // namespace pivotfix
