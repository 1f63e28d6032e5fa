// SPDX-License-Identifier: Apache-2.0
#include "sample_truth.h"

#include <fstream>
#include <nlohmann/json.hpp>
#include <stdexcept>

namespace pivotfix {

namespace {

Eigen::Vector3d vector_from(const nlohmann::json& json) {
  return {json.at(0).get<double>(), json.at(1).get<double>(), json.at(2).get<double>()};
}

}  // namespace

SampleTruth read_sample_truth(const std::string& file) {
  std::ifstream stream(file);
  if (!stream) throw std::runtime_error(file + " is missing");
  const nlohmann::json json = nlohmann::json::parse(stream);
  SampleTruth truth;
  for (const auto& [name, place] : json.at("hardpoints_mm").items())
    truth.hardpoints_vehicle_mm[name] = vector_from(place);
  for (const auto& tag : json.at("tags"))
    truth.tag_centres_vehicle_mm[tag.at("number").get<int>()] = vector_from(tag.at("centre_mm"));
  const nlohmann::json& suspension = json.at("suspension");
  truth.now.travel_mm = suspension.at("now").at("travel_mm").get<std::vector<double>>();
  truth.now.toe_change_deg = suspension.at("now").at("toe_change_deg").get<std::vector<double>>();
  truth.best_rod_end_height_mm = suspension.at("best").at("rod_end_height_mm").get<double>();
  return truth;
}

}  // namespace pivotfix
