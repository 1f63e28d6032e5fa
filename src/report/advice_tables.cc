// SPDX-License-Identifier: Apache-2.0
#include "report/advice_tables.h"

#include <algorithm>
#include <cmath>

#include "page/numbers.h"

namespace pivotfix::report {
namespace {

constexpr const char* degree = "\xC2\xB0";

std::string degrees_text(double angle_rad, int decimals) {
  if (!std::isfinite(angle_rad)) return not_known;
  return format_fixed(deg_from_rad(angle_rad), decimals) + degree;
}

std::string largest_text(double toe_rad) {
  return degrees_text(std::abs(toe_rad), 2);
}

const char* aim_words(HeightAim aim) {
  switch (aim) {
    case HeightAim::least_squares:
      return "least squares over the travel";
    case HeightAim::smallest_peak:
      return "smallest peak over the travel";
    case HeightAim::zero_slope:
      break;
  }
  return "no slope at ride height";
}

std::string link_words(double change_mm, LengthUnit unit) {
  if (std::abs(change_mm) < 0.005) return "as it is";
  return length_text(std::abs(change_mm), 0.0, unit, 2) + (change_mm < 0.0 ? " shorter" : " longer");
}

std::string travel_words(const Travel& travel, LengthUnit unit) {
  return length_text(travel.bump_mm, 0.0, unit, 0) + " bump, " + length_text(travel.droop_mm, 0.0, unit, 0) +
         " droop";
}

std::string at_place(double travel_mm, double steer_rad, LengthUnit unit) {
  std::string text = std::abs(travel_mm) < 1e-9 ? std::string("at ride height")
                                                : "at " + length_text(std::abs(travel_mm), 0.0, unit, 0) +
                                                      (travel_mm < 0.0 ? " droop" : " bump");
  if (steer_rad != 0.0)
    text += ", steered " + degrees_text(std::abs(steer_rad), 0) + (steer_rad > 0.0 ? " in" : " out");
  return text;
}

std::string allowed_text(double allowed_rad) {
  return allowed_rad > 0.0 ? degrees_text(allowed_rad, 1) : "not checked: the job says nothing of it";
}

// The first stack, and how far it misses.
std::string first_stack_text(const Advice& advice, LengthUnit unit) {
  if (advice.stacks.empty()) return not_known;
  const Stack& stack = advice.stacks.front();
  const std::string off = off_words(stack.short_of_best_mm, unit);
  return spacers_text(stack.between, unit, " x ") + (off == "on it" ? "" : " (" + off + ")");
}

// " (locks at +32 mm)"
std::string locks_words(const Advice& advice, LengthUnit unit) {
  const ToeCurve& now = advice.now;
  if (now.ended_early.empty() || now.travel_mm.empty()) return "";
  std::string text;
  if (now.travel_mm.back() < advice.travel.bump_mm - 1e-6)
    text = "+" + length_text(now.travel_mm.back(), 0.0, unit, 0);
  if (-now.travel_mm.front() < advice.travel.droop_mm - 1e-6)
    text += (text.empty() ? "" : " and ") + length_text(now.travel_mm.front(), 0.0, unit, 0);
  return text.empty() ? "" : " (locks at " + text + ")";
}

std::vector<std::string> what_if_row(const std::string& words, const Advice& advice, LengthUnit unit) {
  return {words + locks_words(advice, unit),
          angle_text({advice.mismatch_rad.value, 0.0}, 2),
          angle_text({advice.effective_mismatch_rad.value, 0.0}, 2),
          toe_words(advice.now.slope_rad_mm * mm_per_inch, 0.0, 3),
          largest_text(advice.now.largest_change_rad),
          advice.found
              ? move_words(advice.best_height_change_mm.value, advice.best_height_change_mm.sigma, unit)
              : "spacers do not cure it",
          first_stack_text(advice, unit)};
}

}  // namespace

Rows height_rows(const ReportInput& input) {
  Rows rows;
  for (const AimedHeight& height : input.advice.heights) {
    if (!height.found) {
      rows.push_back({aim_words(height.aim), "none", not_known, not_known, not_known});
      continue;
    }
    rows.push_back({aim_words(height.aim),
                    move_words(height.height_change_mm.value, height.height_change_mm.sigma, input.unit),
                    link_words(height.link_length_change_mm, input.unit),
                    largest_text(height.largest_change_rad), toe_words(height.one_inch_change_rad, 0.0, 2)});
  }
  return rows;
}

std::string driving_words(const Driving& driving) {
  if (driving.name.empty()) return "your own travel";
  std::string words = driving.name;
  std::replace(words.begin(), words.end(), '-', ' ');
  return words;
}

Rows driving_rows(const ReportInput& input) {
  Rows rows;
  for (const DrivingResult& result : input.advice.drivings)
    rows.push_back({driving_words(result.driving), travel_words(result.driving.travel, input.unit),
                    largest_text(result.largest_now_rad), largest_text(result.largest_chosen_rad),
                    largest_text(result.largest_best_rad),
                    result.found ? move_words(result.best_height_change_mm, 0.0, input.unit) : not_known});
  return rows;
}

Rows tilt_rows(const ReportInput& input) {
  const Tilt& tilt = input.advice.tilt;
  if (!(tilt.largest_now_rad > 0.0)) return {};
  Rows rows{{"needed now", degrees_text(tilt.largest_now_rad, 1) + " " +
                               at_place(tilt.largest_now_travel_mm, tilt.largest_now_steer_rad, input.unit)},
            {"needed with the suggested change",
             degrees_text(tilt.largest_then_rad, 1) + " " +
                 at_place(tilt.largest_then_travel_mm, tilt.largest_then_steer_rad, input.unit)},
            {"allowed with ordinary spacers", allowed_text(tilt.allowed_plain_rad)},
            {"allowed with high-misalignment spacers", allowed_text(tilt.allowed_high_misalignment_rad)}};
  if (!(tilt.allowed_then_rad > 0.0)) return rows;
  if (tilt.stud_taken_as_upright) rows.push_back({"taken for granted", "the stud stands upright"});
  if (tilt.spacers_taken_as_narrow)
    rows.push_back({"taken for granted", "spacers no wider than the ball's face"});
  return rows;
}

namespace {

// Errors that coordinates have in common may cancel: then one has more than the whole, another less than
// nothing, and neither figure tells anything.
std::string share_text(double share) {
  if (share > 1.0) return "partly cancelled";
  return share < -0.005 ? "cancels" : format_fixed(100.0 * share, 0) + " %";
}

}  // namespace

Rows share_rows(const ReportInput& input, std::size_t most) {
  Rows rows;
  const std::vector<HeightShare>& shares = input.advice.shares;
  for (std::size_t i = 0; i < std::min(most, shares.size()); ++i)
    rows.push_back({shares[i].words, length_text(shares[i].sigma_mm, 0.0, input.unit, 2),
                    format_fixed(shares[i].mm_per_mm, 2), share_text(shares[i].share)});
  return rows;
}

Rows reading_rows(const ReportInput& input) {
  Rows rows;
  if (!input.advice.verification) return rows;
  const auto text = [](double toe_rad, double sigma_rad) {
    // At ride height the prediction is zero by definition.
    return value_text(deg_from_rad(toe_rad), sigma_rad < 1e-9 ? 0.0 : deg_from_rad(sigma_rad), 3);
  };
  for (const ReadingCheck& check : input.advice.verification->readings)
    rows.push_back(
        {travel_text(check.reading.travel_mm, input.unit) + (check.reading.from_photos ? " (photos)" : ""),
         text(check.measured_change_rad, check.measured_sigma_rad),
         text(check.predicted_change_rad.value, check.predicted_change_rad.sigma),
         input.advice.verification->refined
             ? text(check.refined_change_rad.value, check.refined_change_rad.sigma)
             : not_known});
  return rows;
}

std::string reading_summary(const Advice& advice) {
  if (!advice.verification) return "";
  const Verification& verification = *advice.verification;
  if (verification.degrees_of_freedom == 0)
    return "The hardpoints came without uncertainties, so nothing can be said of how well they agree.";
  return std::string(verification.consistent ? "Readings and hardpoints agree"
                                             : "Readings and hardpoints contradict each other: do not bolt "
                                               "anything on before you know which is wrong") +
         " (chi square " + format_fixed(verification.chi_square, 1) + " with " +
         counted(static_cast<std::size_t>(verification.degrees_of_freedom), "degree") +
         " of freedom; by chance it is as large in " +
         format_fixed(100.0 * verification.probability, verification.probability < 0.001 ? 3 : 1) +
         " % of cases).";
}

Rows what_if_rows(const ReportInput& input) {
  if (input.what_ifs.empty()) return {};
  Rows rows{what_if_row("as it is", input.advice, input.unit)};
  for (const WhatIf& one : input.what_ifs) {
    if (one.refusal.empty())
      rows.push_back(what_if_row(one.words, one.advice, input.unit));
    else
      rows.push_back(
          {one.words, not_known, not_known, not_known, not_known, "no answer: " + one.refusal, ""});
  }
  return rows;
}

Rows what_if_toe_rows(const ReportInput& input) {
  if (input.what_ifs.empty()) return {};
  std::vector<ToeColumn> columns{{"as it is", &input.advice.now, false}};
  for (const WhatIf& one : input.what_ifs) columns.push_back({one.words, &one.advice.now, false});
  return toe_rows(columns, input.unit, 0.0);
}

}  // namespace pivotfix::report
