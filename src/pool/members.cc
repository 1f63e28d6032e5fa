// SPDX-License-Identifier: Apache-2.0
// A pool's members as part of its file.
#include "pool/members.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <optional>

#include "base/checksum.h"
#include "base/problem.h"

namespace pivotfix {
namespace {

using Json = nlohmann::ordered_json;

std::string label_of(const HardpointSet& set, const std::string& file) {
  if (!set.record.car.empty()) return set.record.car;
  if (!set.title.empty()) return set.title;
  return std::filesystem::path(file).stem().string();
}

[[noreturn]] void refuse_changed(const std::string& file) {
  throw Problem(ProblemKind::input, "The sets in this pool were changed by hand.",
                "Make the pool again from the cars' own files.", Place{file});
}

PoolMember member_from(const Json& json, const std::string& file) {
  if (!json.is_object() || !json.contains("set") || !json.value("label", Json()).is_string() ||
      !json.value("checksum", Json()).is_string())
    refuse_changed(file);
  PoolMember member{json["label"].get<std::string>(), hardpoints_from_json(json["set"].dump(), file), {}};
  if (checksum_of(member.set) != json["checksum"].get<std::string>()) refuse_changed(file);
  return member;
}

std::optional<Json> pool_in(const HardpointSet& set) {
  const Json other =
      Json::parse(set.other_fields_json.empty() ? "{}" : set.other_fields_json, nullptr, false);
  if (!other.is_object() || !other.contains("pool")) return std::nullopt;
  return other["pool"];
}

// Whatever a hand may have made of it.
bool has_files(const Json& car) {
  const Json::json_pointer files("/set/record/files");
  return car.is_object() && car.contains(files) && !car.at(files).empty();
}

double rounded(double value) {
  return std::round(value * 1e6) / 1e6;
}

}  // namespace

std::string checksum_of(const HardpointSet& set) {
  return xxh64(hardpoints_to_json(set));
}

std::string pool_fields(const Pool& pool) {
  Json cars = Json::array();
  for (const PoolMember& member : pool.members)
    cars.push_back({{"label", member.label},
                    {"checksum", member.checksum},
                    {"set", Json::parse(hardpoints_to_json(member.set))}});
  Json points = Json::object();
  for (const PooledPoint& point : pool.points) {
    Json mean_sigma = Json::array();
    for (const double sigma : point.mean_sigma_mm) mean_sigma.push_back(rounded(sigma));
    points[point.name] = {
        {"mean_sigma", mean_sigma},
        {"car_to_car_sigma", rounded(point.scatter_mm)},
        {"car_to_car_sigma_95", {rounded(point.scatter_low_mm), rounded(point.scatter_high_mm)}}};
  }
  return Json({{"pool", {{"method", pool_method}, {"points", points}, {"cars", cars}}}}).dump();
}

std::vector<PoolMember> members_of(const HardpointSet& set, const std::string& file) {
  const std::optional<Json> pool = pool_in(set);
  if (!pool) return {{label_of(set, file), set, {}}};
  const Json cars = pool->is_object() ? pool->value("cars", Json()) : Json();
  if (!cars.is_array() || cars.empty()) refuse_changed(file);
  std::vector<PoolMember> members;
  for (const Json& car : cars) members.push_back(member_from(car, file));
  return members;
}

bool comes_from_photos(const HardpointSet& set) {
  const std::optional<Json> pool = pool_in(set);
  if (!pool && !set.record.method.starts_with(pool_method)) return !set.record.files.empty();
  const Json cars = pool && pool->is_object() ? pool->value("cars", Json::array()) : Json::array();
  return std::any_of(cars.begin(), cars.end(), has_files);
}

void take_out(const std::string& label, std::vector<PoolMember>& members) {
  const auto gone = std::remove_if(members.begin(), members.end(), [&](const PoolMember& member) {
    return member.label == label || checksum_of(member.set) == label;
  });
  if (gone != members.end()) {
    members.erase(gone, members.end());
    return;
  }
  std::vector<std::string> labels;
  for (const PoolMember& member : members) labels.push_back("\"" + member.label + "\"");
  std::sort(labels.begin(), labels.end());
  std::string list;
  for (const std::string& known : labels) list += (list.empty() ? "" : ", ") + known;
  throw Problem(ProblemKind::input, "No car \"" + label + "\" is in the pool.", "There are " + list + ".");
}

}  // namespace pivotfix
