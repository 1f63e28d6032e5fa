// SPDX-License-Identifier: Apache-2.0
#include "report/photo_sets.h"

#include <algorithm>
#include <cmath>

#include "page/each_unit.h"
#include "page/numbers.h"
#include "page/text_layout.h"

namespace pivotfix {
namespace report {
namespace {

std::string above_words(const RideHeightReading& reading, LengthUnit unit) {
  const std::string size = length_text(std::abs(reading.above_mm), reading.sigma_mm, unit, 1);
  if (std::abs(reading.above_mm) < reading.sigma_mm) return "as recorded (" + size + " off)";
  return size + (reading.above_mm > 0.0 ? " too high" : " too low");
}

const char* wheel_caption(const PhotoSetFigures& figures) {
  const bool spin = std::any_of(figures.wheel.begin(), figures.wheel.end(),
                                [](const WheelReading& reading) { return reading.from_spin_axis; });
  return spin ? "The wheel as it stands, from the axis that the hub turned about"
              : "The wheel as it stands, from the plane of the hub's tags: runout of what they sit on is in "
                "it";
}

std::string degrees(double per_degree) {
  return format_fixed(per_degree == 0.0 ? 0.0 : per_degree, 3) + "\xC2\xB0";
}

const std::vector<Column>& wheel_columns() {
  static const std::vector<Column> columns{
      {"wheel's rise", ColumnKind::number}, {"toe", ColumnKind::number}, {"camber", ColumnKind::number}};
  return columns;
}

// Both in one: a set is one row.
Markup whole_table(const PhotoSetFigures& figures, LengthUnit unit) {
  const Rows wheel = wheel_rows(figures, unit);
  Rows rows = ride_height_rows(figures, unit);
  for (std::vector<std::string>& row : rows) {
    const auto same = std::find_if(wheel.begin(), wheel.end(),
                                   [&](const auto& other) { return other.front() == row.front(); });
    for (std::size_t i = 1; i <= wheel_columns().size(); ++i)
      row.push_back(same == wheel.end() ? not_known : (*same)[i]);
  }
  std::vector<Column> columns{{"photos"}, {"hub to body"}, {"recorded"}, {"wheel"}};
  columns.insert(columns.end(), wheel_columns().begin(), wheel_columns().end());
  return table(wheel_caption(figures), columns, rows);
}

Markup figures_table(const PhotoSetFigures& figures, LengthUnit unit) {
  if (!figures.ride_height.empty() && !figures.wheel.empty()) return whole_table(figures, unit);
  if (!figures.ride_height.empty())
    return table("Distance from the wheel centre to the body in each set of photos",
                 {{"photos"}, {"now"}, {"recorded"}, {"wheel"}}, ride_height_rows(figures, unit));
  if (figures.wheel.empty()) return {};
  std::vector<Column> columns{{"photos"}};
  columns.insert(columns.end(), wheel_columns().begin(), wheel_columns().end());
  return table(wheel_caption(figures), columns, wheel_rows(figures, unit));
}

}  // namespace

Rows ride_height_rows(const PhotoSetFigures& figures, LengthUnit unit) {
  Rows rows;
  for (const RideHeightReading& reading : figures.ride_height)
    rows.push_back({reading.height, length_text(reading.distance_mm, 0.0, unit, 1),
                    length_text(reading.recorded_mm, 0.0, unit, 1), above_words(reading, unit)});
  return rows;
}

Rows wheel_rows(const PhotoSetFigures& figures, LengthUnit unit) {
  Rows rows;
  for (const WheelReading& reading : figures.wheel)
    rows.push_back({reading.height, length_text(reading.rise_mm, 0.0, unit, 1),
                    angle_text({reading.toe_rad, reading.toe_sigma_rad}, 3),
                    angle_text({reading.camber_rad, reading.camber_sigma_rad}, 3)});
  return rows;
}

std::string centre_plane_sentence(const PhotoSetFigures& figures) {
  return "The car's centre plane " + figures.centre_plane.words + ".";
}

std::string floor_slope_sentence(const PhotoSetFigures& figures) {
  if (!figures.floor_slope) return "";
  const SlopeEffect& sideways = figures.floor_slope->sideways;
  const SlopeEffect& lengthwise = figures.floor_slope->lengthwise;
  return "One degree of slope of the floor across the car turns arm and link together, by " +
         degrees(std::abs(sideways.arm_angle)) + " and " + degrees(std::abs(sideways.link_angle)) +
         ", and changes the mismatch by " + degrees(std::abs(sideways.mismatch)) +
         " (effective mismatch: " + degrees(std::abs(sideways.effective_mismatch)) +
         "); one degree along the car changes it by " + degrees(std::abs(lengthwise.mismatch)) + " (" +
         degrees(std::abs(lengthwise.effective_mismatch)) +
         "). Slope is how far the plane of the floor tags is out of true with where the four tyres stand.";
}

Markup photo_sets_section(const ReportInput& input) {
  if (!input.photo_sets) return {};
  const PhotoSetFigures& figures = *input.photo_sets;
  Markup section = element("h2", "How the car stood");
  section += in_each_unit([&](LengthUnit unit) { return figures_table(figures, unit); });
  section += element("p", lengths_in_each_unit(centre_plane_sentence(figures)));
  if (const std::string slope = floor_slope_sentence(figures); !slope.empty()) section += paragraph(slope);
  return element("section", section);
}

}  // namespace report

std::string photo_sets_text(const PhotoSetFigures& figures, LengthUnit unit) {
  using namespace report;
  std::string text = "How the car stood\n";
  if (!figures.ride_height.empty()) {
    Rows rows{{"photos", "hub to body", "recorded", "wheel"}};
    for (auto& row : ride_height_rows(figures, unit)) rows.push_back(row);
    text += aligned(rows, true);
  }
  if (!figures.wheel.empty()) {
    text += wrapped(std::string(wheel_caption(figures)) + ":", "  ");
    Rows rows{{"photos", "rise", "toe", "camber"}};
    for (auto& row : wheel_rows(figures, unit)) rows.push_back(row);
    text += aligned(rows, true);
  }
  text += wrapped(lengths_in(centre_plane_sentence(figures), unit), "  ");
  if (const std::string slope = floor_slope_sentence(figures); !slope.empty()) text += wrapped(slope, "  ");
  return text;
}

}  // namespace pivotfix
