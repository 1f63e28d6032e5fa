// SPDX-License-Identifier: Apache-2.0
#include "report/tables.h"

#include <algorithm>
#include <cmath>
#include <regex>

#include "advice/toe_at.h"
#include "advice/wording.h"
#include "base/length_words.h"
#include "page/numbers.h"
#include "report/next_shots.h"
#include "report/pictures.h"

namespace pivotfix::report {
namespace {

constexpr const char* degree = "\xC2\xB0";

double largest_sigma_rad(const ToeCurve& curve) {
  double largest = 0.0;
  for (double sigma : curve.toe_change_sigma_rad)
    if (std::isfinite(sigma)) largest = std::max(largest, sigma);
  return largest;
}

// Degrees, and the same as millimetres between the rim's edges.
std::string toe_size(double toe_rad, double sigma_rad, double rim_diameter_mm, Room room) {
  if (!std::isfinite(toe_rad)) return not_known;
  const Rounded rim = rounded(toe_at_rim_mm(toe_rad, rim_diameter_mm), rim_diameter_mm * sigma_rad, 2);
  return rounded(deg_from_rad(toe_rad), deg_from_rad(sigma_rad), 2).value + degree + " (" + rim.value +
         (room == Room::terminal ? " mm)" : " mm at the rim)");
}

std::string largest_text(const ToeCurve& curve, double rim_diameter_mm, Room room) {
  if (!known(curve)) return not_known;
  return toe_size(std::abs(curve.largest_change_rad), largest_sigma_rad(curve), rim_diameter_mm, room);
}

std::string one_inch_text(const ToeCurve& curve) {
  if (!known(curve)) return not_known;
  const auto inch = toe_at(curve, mm_per_inch);
  return toe_words(curve.one_inch_change_rad, inch ? inch->sigma_rad : 0.0, 2);
}

std::string slope_text(const ToeCurve& curve) {
  if (!known(curve)) return not_known;
  if (!std::isfinite(curve.slope_rad_mm)) return not_known;
  return toe_words(curve.slope_rad_mm * mm_per_inch, 0.0, 3);
}

std::string off_curve_text(const Uncertain& height_mm, LengthUnit unit) {
  if (!std::isfinite(height_mm.value)) return not_known;
  if (is_far_away(height_mm.value, height_mm.sigma)) return "far away";
  return length_in_both(std::abs(height_mm.value), height_mm.sigma, unit, 0) +
         (height_mm.value < 0.0 ? " below" : " above");
}

// What stays of the toe change an inch from ride height once the slope is gone.
std::string curvature_text(const LinkFit& fit) {
  const double toe_rad = 0.5 * fit.curvature_left_rad_mm2 * mm_per_inch * mm_per_inch;
  const std::string words = toe_words(toe_rad, 0.0, 3);
  return words == no_toe_change ? words : words + ", an inch up or down";
}

std::string link_length_text(const Advice& advice, LengthUnit unit) {
  if (!advice.link_fit.has_ideal_length) return "no length fits its place";
  const Uncertain& short_mm = advice.link_too_short_mm;
  return length_text(std::abs(short_mm.value), short_mm.sigma, unit, 0) +
         (short_mm.value > 0.0 ? " too short" : " too long");
}

// Link and arm parallel is the usual drawing; with converging arms it can point away from the right height.
std::string rule_of_thumb_words(const Advice& advice) {
  if (!known(advice.parallel_link))
    return advice.now.travel_mm.empty() ? "" : "not within reach of any stud, so not shown";
  constexpr double hardly_mm = 0.1;
  const double rule_mm = advice.parallel_link.rod_end_height_mm;
  const AimedHeight* flat = height_of(advice, HeightAim::zero_slope);
  if (!flat) return "";
  const Uncertain& flat_mm = flat->height_change_mm;
  const bool other_way = rule_mm * flat_mm.value < 0.0 && std::abs(rule_mm) > hardly_mm &&
                         std::abs(flat_mm.value) > std::max(hardly_mm, flat_mm.sigma);
  return other_way ? "would be the wrong way here" : "";
}

}  // namespace

Rows link_rows(const Advice& advice, LengthUnit unit) {
  Rows rows{{"mismatch: link minus lower arm", angle_text(advice.mismatch_rad, 2)},
            {"effective: link minus line to instant centre", angle_text(advice.effective_mismatch_rad, 2)}};
  if (advice.front_view.arms_parallel)
    rows.push_back({"instant centre", "none: the arms are parallel"});
  else
    rows.push_back({"link's line passes its instant centre",
                    off_curve_text(advice.link_line_above_instant_centre_mm, unit)});
  if (const std::string words = rule_of_thumb_words(advice); !words.empty())
    rows.push_back({"rule of thumb: link parallel to the arm", words});
  if (!(advice.link_fit.link_length_mm > 0.0)) return rows;
  rows.push_back({"toe change that no spacer cures", curvature_text(advice.link_fit)});
  rows.push_back({"length of the link for its place", link_length_text(advice, unit)});
  return rows;
}

Rows before_after_rows(const ReportInput& input) {
  return before_after_rows(input, plan_of(input.advice));
}

Rows before_after_rows(const ReportInput& input, const Plan& plan, Room room) {
  const Advice& advice = input.advice;
  const double rim_mm = input.hardpoints.wheel.rim_diameter_mm;
  return {
      {"rod end", "as it is", move_words(plan.height_change_mm, plan.sigma_mm, input.unit)},
      {"largest toe change, one wheel", largest_text(advice.now, rim_mm, room),
       largest_text(plan.curve, rim_mm, room)},
      {room == Room::terminal ? "first inch of bump" : "first inch (25.4 mm) of bump",
       one_inch_text(advice.now), one_inch_text(plan.curve)},
      {"slope at ride height, per inch", slope_text(advice.now), slope_text(plan.curve)},
  };
}

Rows geometry_rows(const ReportInput& input) {
  const Advice& advice = input.advice;
  const LengthUnit unit = input.unit;
  Rows rows{
      {"lower arm, rising outboard", angle_text(advice.arm_angle_rad, 2)},
      {"steering link, rising outboard", angle_text(advice.link_angle_rad, 2)},
  };
  for (const auto& row : link_rows(advice, unit)) rows.push_back(row);
  const Uncertain& best = advice.best_height_change_mm;
  rows.push_back({"best rod-end height over the travel",
                  advice.found ? move_words(best.value, best.sigma, unit) : not_known});
  const AimedHeight* flat = height_of(advice, HeightAim::zero_slope);
  rows.push_back(
      {"height for no slope at ride height",
       flat ? move_words(flat->height_change_mm.value, flat->height_change_mm.sigma, unit) : not_known});
  rows.push_back({"travel looked at", length_text(advice.travel.bump_mm, 0.0, unit, 0) + " bump, " +
                                          length_text(advice.travel.droop_mm, 0.0, unit, 0) + " droop"});
  rows.push_back({"caster", angle_text({advice.steering_axis.caster_rad, 0.0}, 1)});
  rows.push_back({"steering-axis inclination", angle_text({advice.steering_axis.inclination_rad, 0.0}, 1)});
  const WheelSetting& wheel = input.hardpoints.wheel;
  rows.push_back(
      {wheel.camber_from_photos ? "toe at ride height as entered, camber from the photos"
                                : "toe and camber at ride height, as entered",
       (wheel.toe_is_known ? angle_text({wheel.toe_rad, 0.0}, 2) : not_known) + ", " +
           (wheel.camber_is_known ? angle_text({wheel.camber_rad, wheel.camber_sigma_rad}, 2) : not_known)});
  return rows;
}

std::string way_words(const std::string& way, LengthUnit unit) {
  // As locate/pivot_ways.cc words them; tests/report/way_words_test.cc ties the two.
  static const std::regex own(
      R"((tag \d+, (-?\d+\.\d\d mm (behind|before) its face|offset (-?\d+\.\d\d mm,? ){3}in its axes)|)"
      R"(ring of tags [\d, and]+, -?\d+\.\d\d mm behind)(, with motion)?)");
  if (!std::regex_match(way, own)) return way;
  static const std::regex unit_of_own(" mm");
  return lengths_in(std::regex_replace(way, unit_of_own, std::string(marked_mm)), unit);
}

bool has_uncertainties(const HardpointSet& set) {
  return set.covariance_mm2.size() > 0;
}

Rows hardpoint_rows(const HardpointSet& set, LengthUnit unit) {
  const double unit_mm = mm_per(unit);
  double largest_sigma = 0.0;
  for (std::size_t i = 0; i < set.points.size(); ++i)
    for (int c = 0; c < 3; ++c) largest_sigma = std::max(largest_sigma, sigma_mm(set, i, c) / unit_mm);
  const int decimals = column_decimals(largest_sigma, fine_decimals(unit));
  Rows rows;
  for (std::size_t i = 0; i < set.points.size(); ++i) {
    const Hardpoint& point = set.points[i];
    std::vector<std::string> row{spoken(point.name)};
    for (int c = 0; c < 3; ++c)
      row.push_back(
          column_text(point.position_vehicle_mm[c] / unit_mm, sigma_mm(set, i, c) / unit_mm, decimals));
    row.push_back(point.way.empty() ? not_known : way_words(point.way, unit));
    rows.push_back(row);
  }
  return rows;
}

std::vector<ToeColumn> toe_columns(const Advice& advice) {
  const bool has_stack = !advice.stacks.empty();
  std::vector<ToeColumn> columns{{"now", &advice.now, true}};
  if (has_stack)
    columns.push_back({advice.worth_changing ? "chosen stack" : first_stack_is(advice) + " stack",
                       &advice.with_stack, true});
  if (advice.found) columns.push_back({"best height", &advice.best, !has_stack});
  if (known(advice.parallel_link)) columns.push_back({"parallel link", &advice.parallel_link, false});
  return columns;
}

Rows toe_rows(const std::vector<ToeColumn>& columns, LengthUnit unit, double rim_diameter_mm) {
  Rows rows;
  if (columns.empty() || columns.front().curve == nullptr || !known(*columns.front().curve)) return rows;
  const std::vector<double>& all_mm = columns.front().curve->travel_mm;
  for (double travel_mm : tabled_travel_mm(all_mm.front(), all_mm.back(), unit)) {
    std::vector<std::string> row{travel_text(travel_mm, unit)};
    for (const ToeColumn& column : columns) {
      const double largest_rad = column.with_sigma ? largest_sigma_rad(*column.curve) : 0.0;
      const auto toe = toe_at(*column.curve, travel_mm);
      const bool at_ride_height = std::abs(travel_mm) < 1e-9;  // no change there by definition
      const double sigma_rad = toe && column.with_sigma && !at_ride_height ? toe->sigma_rad : 0.0;
      row.push_back(toe ? column_text(deg_from_rad(toe->toe_rad), deg_from_rad(sigma_rad),
                                      column_decimals(deg_from_rad(largest_rad), 3))
                        : not_known);
      if (column.with_sigma && rim_diameter_mm > 0.0)
        row.push_back(toe ? column_text(toe_at_rim_mm(toe->toe_rad, rim_diameter_mm), 0.0,
                                        column_decimals(rim_diameter_mm * largest_rad, 2))
                          : not_known);
    }
    rows.push_back(row);
  }
  return rows;
}

std::string spacers_text(const std::vector<Spacer>& spacers, LengthUnit unit, const std::string& times) {
  std::string text;
  for (const Spacer& spacer : spacers) {
    if (spacer.count < 1) continue;
    const std::string label =
        spacer.label.empty() ? format_length(spacer.thickness_mm, unit, fine_decimals(unit)) : spacer.label;
    text += (text.empty() ? "" : ", ") + std::to_string(spacer.count) + times + label;
  }
  return text.empty() ? "no spacer" : text;
}

Rows stack_rows(const Advice& advice, LengthUnit unit, std::size_t most) {
  Rows rows;
  for (std::size_t i = 0; i < std::min(most, advice.stacks.size()); ++i) {
    const Stack& stack = advice.stacks[i];
    rows.push_back(
        {spacers_text(stack.between, unit, " \xC3\x97 "), spacers_text(stack.other_side, unit, " \xC3\x97 "),
         move_words(stack.height_change_mm, 0.0, unit), off_words(stack.short_of_best_mm, unit),
         format_fixed(std::abs(deg_from_rad(stack.largest_change_rad)), 2) + degree,
         toe_words(stack.one_inch_change_rad, 0.0, 2),
         std::isfinite(stack.thread_beyond_nut_mm) ? length_text(stack.thread_beyond_nut_mm, 0.0, unit, 1)
                                                   : not_known});
  }
  return rows;
}

std::string how_sure(const ReportInput& input) {
  if (!input.advice.found) return "How sure: no height is advised, so none can be sure or not.";
  const Uncertain& best = input.advice.best_height_change_mm;
  if (!std::isfinite(best.sigma) || best.sigma <= 0.0)
    return "How sure: the hardpoints came without uncertainties, so this report cannot say.";
  const double sigma = best.sigma / mm_per(input.unit);
  return "How sure: the best height is known to \xC2\xB1 " + rounded(sigma, sigma, 1).sigma + " " +
         std::string(name_of(input.unit)) +
         ". Two times out of three the truth lies within one \xC2\xB1, nineteen times out of twenty within "
         "two.";
}

std::vector<std::string> limits_of(const ReportInput& input) {
  std::vector<std::string> limits;
  if (input.network) limits = input.network->warnings;
  limits.insert(limits.end(), input.notes.begin(), input.notes.end());
  limits.insert(limits.end(), input.advice.warnings.begin(), input.advice.warnings.end());
  if (input.next_shots && input.advice.found)
    if (const std::string by_hand = hand_sentence(*input.next_shots); !by_hand.empty())
      limits.push_back(by_hand);
  return limits;
}

}  // namespace pivotfix::report
