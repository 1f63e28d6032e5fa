// SPDX-License-Identifier: Apache-2.0
#include "made_up_report.h"

#include <cmath>

namespace pivotfix {
namespace {

constexpr double bump_mm = 40.0;

HardpointSet strut_points() {
  HardpointSet set;
  set.layout = Layout::strut;
  set.points = {{"lower_arm_front_pivot", {142.31, 361.20, 205.42}, "tags 20 and 21, half way"},
                {"lower_arm_rear_pivot", {-158.87, 352.64, 199.75}, "tags 22 and 23, half way"},
                {"lower_ball_joint", {5.12, 714.93, 178.05}, "tag 12, 31.00 mm behind its face"},
                {"strut_top_mount", {-27.80, 584.50, 819.66}, "tag 30, 18.00 mm behind its face"},
                {"strut_axis_low", {-4.21, 655.07, 331.90}, "tags 31 and 32, half way"},
                {"link_inner_joint", {-129.45, 336.18, 243.11}, "tag 10, 22.00 mm behind its face"},
                {"link_outer_joint", {-139.92, 690.36, 262.84}, "tag 11, 26.00 mm behind its face"},
                {"wheel_centre", {0.00, 745.20, 305.33}, "tag 40, 5.00 mm behind its face"}};
  set.covariance_mm2 = Eigen::MatrixXd::Identity(24, 24) * (0.21 * 0.21);
  for (Eigen::Index i = 2; i < 24; i += 3) set.covariance_mm2(i, i) = 0.34 * 0.34;
  set.wheel = {rad_from_deg(0.10), rad_from_deg(-1.2), 406.4};
  return set;
}

Network network() {
  Network network;
  for (int i = 0; i < 26; ++i) {
    Station station;
    station.photo = "photos/ride/IMG_" + std::to_string(4100 + i) + ".jpg";
    station.used = i != 7;
    station.why_not = i == 7 ? "only 2 tags were found, 4 are needed" : "";
    station.sightings = i == 7 ? 2 : 9 + i % 5;
    station.rms_px = i == 13 ? 0.121 : 0.026 + 0.001 * (i % 7);
    station.picture = {i == 15 ? 2.7 : 0.7 + 0.05 * (i % 7), i == 16 ? 31.0 : 120.0 + 4 * (i % 7),
                       i == 17 ? 254.0 : 200.0};
    network.stations.push_back(station);
  }
  for (int number : {1, 2, 3, 10, 11, 12, 20, 21, 22, 23, 30, 31, 32, 40, 60, 61, 62, 63}) {
    TagInSpace tag;
    tag.number = number;
    tag.photos = number == 23 ? 3 : 6 + number % 11;
    tag.widest_angle_rad = rad_from_deg(number == 31 ? 38.0 : 70.0 + number);
    tag.rms_px = 0.022 + 0.0004 * (number % 20);
    network.tags.push_back(tag);
  }
  LensEstimate lens;
  lens.camera = "made-up phone, 4032 x 3024, 4.2 mm";
  lens.lens.values = {3081.42, 1.0, 2015.8, 1511.3, 0.0912, -0.2214, 0.11, 0.0003, -0.0002};
  lens.sigma = {0.82, 0.0, 1.1, 1.3, 0.0021, 0.0093, 0.01, 0.0001, 0.0001};
  lens.photos = 25;
  network.lenses = {lens};
  network.scale_bars = {{{60, 61, 249.60, 0.10}, 249.64, 0.4}, {{62, 63, 250.10, 0.10}, 249.71, -3.9}};
  network.rejected = {{"photos/ride/IMG_4103.jpg", 22, "4.8 px off: tag hidden at its edge?"},
                      {"photos/ride/IMG_4119.jpg", 31, "seen at 82° from its normal"}};
  network.centre_rms_px = 0.029;
  return network;
}

}  // namespace

ToeCurve made_up_curve(const std::string& title, double slope_deg_mm, double bend_deg_mm2,
                       double sigma_deg_mm) {
  ToeCurve curve;
  curve.title = title;
  curve.slope_rad_mm = rad_from_deg(slope_deg_mm);
  const auto toe_rad = [&](double travel_mm) {
    return rad_from_deg(slope_deg_mm * travel_mm + bend_deg_mm2 * travel_mm * travel_mm);
  };
  for (double travel_mm = -bump_mm; travel_mm < bump_mm + 0.1; travel_mm += 2.0) {
    curve.travel_mm.push_back(travel_mm);
    curve.toe_change_rad.push_back(toe_rad(travel_mm));
    curve.toe_change_sigma_rad.push_back(rad_from_deg(sigma_deg_mm * std::abs(travel_mm)));
    curve.largest_change_rad = std::max(curve.largest_change_rad, std::abs(toe_rad(travel_mm)));
  }
  curve.one_inch_change_rad = toe_rad(mm_per_inch);
  return curve;
}

ReportInput made_up_strut_report() {
  ReportInput input;
  input.title = "Made-up strut car, lowered 30 mm";
  input.program_version = "0.1.0";
  input.hardpoints = strut_points();
  input.rod_end.stud_axis_vehicle = {0.0, 0.05, 0.99875};
  input.rod_end.between_now = {{5.08, 1, "0.200 in"}, {1.524, 2, "0.060 in"}};
  input.rod_end.stock = {{5.08, 2, "0.200 in"}, {1.524, 4, "0.060 in"}};
  Advice& advice = input.advice;
  advice.arm_angle_rad = {rad_from_deg(-3.95), rad_from_deg(0.07)};
  advice.link_angle_rad = {rad_from_deg(3.19), rad_from_deg(0.08)};
  advice.mismatch_rad = {rad_from_deg(7.14), rad_from_deg(0.10)};
  advice.effective_mismatch_rad = {rad_from_deg(5.66), rad_from_deg(0.13)};
  advice.front_view = {advice.arm_angle_rad.value,
                       advice.link_angle_rad.value,
                       advice.mismatch_rad.value,
                       advice.effective_mismatch_rad.value,
                       false,
                       {-2523.8, 401.5},
                       -318.0};
  advice.steering_axis = {rad_from_deg(2.93), rad_from_deg(11.5)};
  advice.link_line_above_instant_centre_mm = {-318.0, 9.0};
  advice.now = made_up_curve("as it is", -0.0099, 0.000012, 0.0004);
  advice.best = made_up_curve("best height", -0.0001, 0.000011, 0.0004);
  advice.parallel_link = made_up_curve("link parallel to the arm", 0.0062, 0.00001, 0.0);
  advice.with_stack = made_up_curve("chosen stack", -0.0008, 0.000011, 0.0004);
  advice.best_height_change_mm = {-9.37, 0.42};
  advice.stack_now.between = input.rod_end.between_now;
  advice.stack_now.between_mm = 8.128;
  Stack stack;
  stack.between = {{5.08, 2, "0.200 in"}, {1.524, 4, "0.060 in"}, {0.508, 1, "0.020 in"}};
  stack.other_side = {{1.524, 1, "0.060 in"}};
  stack.between_mm = 16.764;
  stack.height_change_mm = -8.636;
  stack.short_of_best_mm = 0.734;
  stack.largest_change_rad = advice.with_stack.largest_change_rad;
  stack.one_inch_change_rad = advice.with_stack.one_inch_change_rad;
  Stack second = stack;
  second.between.pop_back();
  second.height_change_mm = -8.128;
  second.short_of_best_mm = 1.242;
  advice.stacks = {stack, second};
  advice.sentences = {"Put 2 × 0.200 in, 4 × 0.060 in and 1 × 0.020 in between steering arm and rod end.",
                      "That lowers the rod end by 8.6 mm; the best would be 9.4 ± 0.4 mm.",
                      "Set the link's length again so that toe at ride height is what it was."};
  advice.warnings = {
      "The height of the inner joint carries most of the uncertainty: photograph tag 10 again."};
  input.network = network();
  return input;
}

ReportInput made_up_double_wishbone_report() {
  ReportInput input;
  input.title = "Made-up double-wishbone car";
  input.program_version = "0.1.0";
  input.unit = LengthUnit::inch;
  HardpointSet& set = input.hardpoints;
  set.side = Side::right;
  set.layout = Layout::double_wishbone;
  set.points = {{"lower_arm_front_pivot", {150.0, -330.0, 200.0}, "typed in"},
                {"lower_arm_rear_pivot", {-150.0, -330.0, 200.0}, "typed in"},
                {"lower_ball_joint", {4.0, -720.0, 180.0}, "typed in"},
                {"upper_arm_front_pivot", {110.0, -450.0, 460.0}, "typed in"},
                {"upper_arm_rear_pivot", {-110.0, -450.0, 460.0}, "typed in"},
                {"upper_ball_joint", {-14.0, -675.0, 520.0}, "typed in"},
                {"link_inner_joint", {120.0, -365.0, 262.0}, "typed in"},
                {"link_outer_joint", {128.0, -695.0, 250.0}, "typed in"},
                {"wheel_centre", {0.0, -750.0, 310.0}, "typed in"}};
  Advice& advice = input.advice;
  advice.side = Side::right;
  advice.layout = Layout::double_wishbone;
  // Arms: slopes -20/390 and 60/225; they meet at y = -355.4, z = 235.2 in the mirrored left corner.
  advice.arm_angle_rad = {std::atan2(-20.0, 390.0), 0.0};
  advice.link_angle_rad = {std::atan2(-12.0, 330.0), 0.0};
  advice.mismatch_rad = {advice.link_angle_rad.value - advice.arm_angle_rad.value, 0.0};
  advice.effective_mismatch_rad = {advice.link_angle_rad.value - std::atan2(14.8, 1050.4), 0.0};
  advice.front_view = {advice.arm_angle_rad.value,
                       advice.link_angle_rad.value,
                       advice.mismatch_rad.value,
                       advice.effective_mismatch_rad.value,
                       false,
                       {-355.4, 235.2},
                       53.0};
  advice.steering_axis = {rad_from_deg(3.03), rad_from_deg(7.54)};
  advice.link_line_above_instant_centre_mm = {53.0, 0.0};
  advice.now = made_up_curve("as it is", 0.0085, -0.00001, 0.0);
  advice.best = made_up_curve("best height", 0.0001, -0.00001, 0.0);
  advice.parallel_link = made_up_curve("link parallel to the arm", -0.004, -0.00001, 0.0);
  advice.best_height_change_mm = {-9.1, 0.0};
  advice.sentences = {"Lower the rod end by 0.36 in.", "No spacers were named, so no stack was chosen."};
  return input;
}

}  // namespace pivotfix
