// SPDX-License-Identifier: Apache-2.0
// How the car is driven, and how its toe was measured.
#include <cmath>

#include "job/job_parts.h"

namespace pivotfix {
namespace {

const double largest_toe_rad = rad_from_deg(20.0);

double travel_of(const TomlValue& value) {
  const double travel_mm = value.length_mm();
  if (!(std::abs(travel_mm) <= longest_travel_mm))
    value.fail("\"" + value.key() + "\" is " + format_fixed(travel_mm, 1) + " mm.",
               "It may be up to " + format_fixed(longest_travel_mm, 0) + " mm, bump positive.");
  return travel_mm;
}

// Of bump or droop, which has no sign.
double way_of(const TomlValue& value) {
  const double way_mm = value.length_mm();
  if (!(way_mm >= 0.0 && way_mm <= longest_travel_mm))
    value.fail("\"" + value.key() + "\" is " + format_length(way_mm, LengthUnit::millimetre, 2) +
                   ", but may be 0 to " + format_fixed(longest_travel_mm, 0) + " mm.",
               "Check the unit: a text carries its own, \"1.5 in\". Droop is positive, too.");
  return way_mm;
}

std::vector<TravelWeight> weights_from(const TomlValue& value) {
  std::vector<TravelWeight> weights;
  for (const TomlTable& table : value.tables(
           "travel.weights", "weights = [{ travel = -50, weight = 2 }, { travel = 0, weight = 1 }]")) {
    const TomlValue travel = table.require("travel", "\"-50 mm\"");
    const TomlValue weight = table.require("weight", "2");
    const TravelWeight point{travel_of(travel), weight.number()};
    if (!(point.weight >= 0.0 && point.weight <= 1000.0))
      weight.fail("\"weight\" is " + format_fixed(point.weight, 3) + ", but may be 0 to 1000.", "");
    if (!weights.empty() && !(point.travel_mm > weights.back().travel_mm))
      travel.fail("The travel does not rise from one weight to the next.",
                  "Sort them, droop (negative) first.");
    weights.push_back(point);
  }
  return weights;
}

double angle_at_rim(const TomlValue& length, const Job& job) {
  const double share = length.length_mm() / job.wheel.rim_diameter_mm;
  if (!(std::abs(share) < std::sin(largest_toe_rad)))
    length.fail("\"" + length.key() + "\" is more than 20 degrees at a rim of " +
                    format_fixed(job.wheel.rim_diameter_mm, 1) + " mm.",
                "Correct it, or the rim's diameter under [wheel].");
  return std::asin(share);
}

// `angle` or `at_rim`, exactly one of both.
double angle_from(const TomlTable& table, const char* angle, const char* at_rim, const Job& job) {
  const auto as_angle = table.find(angle);
  const auto as_length = table.find(at_rim);
  if (as_angle && as_length)
    as_length->fail(std::string("\"") + angle + "\" and \"" + at_rim + "\" say the same twice.",
                    "Keep one of them.");
  if (as_length) return angle_at_rim(*as_length, job);
  return table.require(angle, "\"0.1 deg\"").angle_up_to_rad(largest_toe_rad);
}

}  // namespace

// A named way of driving has its travel; the numbers beside the name replace parts of it.
void read_travel(const TomlValue& value, Job& job) {
  const TomlTable table = value.table("travel", "[travel]");
  Driving& driving = job.driving;
  if (const auto name = table.find("driving"))
    driving = name->at_place([&] { return driving_named(name->text()); });
  if (const auto bump = table.find("bump")) driving.travel.bump_mm = way_of(*bump);
  if (const auto droop = table.find("droop")) driving.travel.droop_mm = way_of(*droop);
  if (!is_enough(driving.travel))
    value.fail("\"bump\" and \"droop\" together must be at least 1 mm.", "Correct the travel.");
  if (const auto aim = table.find("aim"))
    driving.aim = aim->at_place([&] { return height_aim_from_name(aim->text()); });
  if (const auto weights = table.find("weights")) driving.weights = weights_from(*weights);
}

void read_readings(const TomlValue& value, Job& job) {
  for (const TomlTable& table : value.tables("readings", "[[readings]]")) {
    if (const auto photos = table.find("from_photos"); photos && photos->yes_or_no()) {
      if (table.values().size() > 1)
        photos->fail("A table with `from_photos` has no other keys: travel and toe come from the photos.",
                     "Put what an alignment rack said into a table of its own.");
      job.readings_from_photos = true;
      continue;
    }
    ToeReading reading;
    reading.travel_mm = travel_of(table.require("travel", "\"1 in\""));
    reading.toe_rad = angle_from(table, "toe", "toe_at_rim", job);
    reading.sigma_rad = angle_from(table, "sigma", "sigma_at_rim", job);
    if (!(reading.sigma_rad > 0.0))
      throw Problem(ProblemKind::input, "The uncertainty of a toe reading must be more than zero.",
                    "Read it three times: half the spread is a fair number.", table.place());
    if (const auto sigma = table.find("travel_sigma")) reading.travel_sigma_mm = sigma->sigma_mm();
    job.readings.push_back(reading);
  }
}

}  // namespace pivotfix
