// SPDX-License-Identifier: Apache-2.0
// What limits the answer, most important first.
#include <algorithm>
#include <cmath>

#include "advice/plausible.h"
#include "advice/shares.h"
#include "advice/stack.h"
#include "advice/wording.h"
#include "base/units.h"
#include "hardpoints/workshop_words.h"

namespace pivotfix {
namespace {

constexpr double worth_a_warning_rad = 0.05 * rad_per_deg;  // toe change that a best height leaves
constexpr double implausible_height_mm = 30.0;
constexpr double far_side_mm = 100.0;  // beyond the car's middle
constexpr double little_tilt_left_rad = 1.0 * rad_per_deg;

using Warnings = std::vector<std::string>;

std::string between_words() {
  return " between steering arm and rod end";
}

// Half of what both ends of the curve have in common, against half of what they differ by.
bool mostly_curved(const ToeCurve& curve) {
  const double bump = curve.toe_change_rad.back();
  const double droop = curve.toe_change_rad.front();
  return std::abs(bump + droop) > std::abs(bump - droop);
}

std::string what_part_would(const Advice& advice, const RodEnd& rod_end) {
  const WantedPart& part = advice.wanted_part;
  const bool below = rod_end.mount == RodEndMount::below_arm;
  if (part.between_mm < 0.0)
    return "Even bare contact leaves it " + mm_words(-part.between_mm, 2) +
           (below ? " too low: only the rod end mounted above the arm, or the rack lower, would do."
                  : " too high: only the rod end mounted below the arm, or the rack higher, would do.");
  if (part.other_side_mm < 0.0)
    return "All spacers on the stud together are " + mm_words(-part.other_side_mm, 2) +
           " too thin: a spacer that much thicker" + between_words() +
           " would do, with a stud that is as much longer.";
  return "A pair of spacers would: " + mm_words(part.between_mm, 2) + between_words() + " and " +
         mm_words(part.other_side_mm, 2) + " on the other side.";
}

void warn_of_reach(const Advice& advice, const RodEnd& rod_end, Warnings& warnings) {
  if (advice.reached) return;
  if (advice.stacks.empty()) {
    const double most_mm = largest_total_mm(rod_end);
    warnings.push_back("No stack of these spacers is right for the stud" +
                       (std::isfinite(most_mm) ? ": it has room for " + mm_words(std::max(0.0, most_mm), 2) +
                                                     " of spacers with the nut and the thread that must show"
                                               : std::string(": none adds up to what the maker wants")) +
                       ". " + what_part_would(advice, rod_end));
    return;
  }
  const double miss = advice.stacks.front().short_of_best_mm;
  warnings.push_back("No stack of these spacers comes within " + mm_words(near_enough_mm) +
                     " of the best height: with the nearest one the rod end sits " +
                     mm_words(std::abs(miss)) + " too " + (miss > 0.0 ? "high" : "low") + ". " +
                     what_part_would(advice, rod_end));
}

std::string worst_coordinate(const Advice& advice) {
  return advice.shares.empty() ? "" : advice.shares.front().words;
}

std::string percent(double share) {
  return format_fixed(100.0 * share, 0) + " %";
}

void warn_of_neighbours(const Advice& advice, Warnings& warnings) {
  if (advice.stacks.size() < 2) return;
  const Stack& first = advice.stacks[0];
  const Stack& second = advice.stacks[1];
  // The second is the better one once the best height lies beyond the middle between both.
  const double middle = 0.5 * (first.height_change_mm + second.height_change_mm);
  const double sigma = advice.best_height_change_mm.sigma;
  if (!(sigma > std::abs(middle - advice.best_height_change_mm.value))) return;
  std::string text =
      "The best height is known to ± " + mm_words(sigma) + " only, the two nearest stacks differ by " +
      mm_words(std::abs(second.height_change_mm - first.height_change_mm), 2) +
      ": either may be the better one (the first with " + percent(advice.first_is_better) + ").";
  if (!advice.shares.empty())
    text += " Measure the " + worst_coordinate(advice) + " again: " + percent(advice.shares.front().share) +
            " of the doubt comes from it.";
  warnings.push_back(text);
}

void warn_of_thread(const Advice& advice, const RodEnd& rod_end, Warnings& warnings) {
  const double wanted = rod_end.stud.thread_beyond_nut_mm;
  const double now = advice.stack_now.thread_beyond_nut_mm;
  if (std::isfinite(now) && now < wanted)
    warnings.push_back(
        "As it stands now " +
        (now > 0.0 ? "only " + mm_words(now) + " of thread shows" : std::string("no thread shows")) +
        " beyond the locknut; " + mm_words(wanted) + " must.");
}

void warn_of_tilt(const Advice& advice, const RodEnd& rod_end, Warnings& warnings) {
  const Tilt& tilt = advice.tilt;
  if (!(tilt.allowed_then_rad > 0.0)) return;
  const double left = tilt.allowed_then_rad - tilt.largest_then_rad;
  if (left > little_tilt_left_rad) return;
  std::string where = mm_words(std::abs(tilt.largest_then_travel_mm), 0) +
                      (tilt.largest_then_travel_mm < 0.0 ? " of droop" : " of bump");
  if (tilt.largest_then_steer_rad != 0.0)
    where += " with the wheel steered " + degree_words(std::abs(tilt.largest_then_steer_rad), 0) + " deg " +
             (tilt.largest_then_steer_rad > 0.0 ? "in" : "out");
  std::string text = (left < 0.0 ? "The rod end binds: at " : "The rod end is near its limit: at ") + where +
                     " it must tilt " + degree_words(tilt.largest_then_rad, 1) + " deg, and " +
                     degree_words(tilt.allowed_then_rad, 1) + " deg are allowed.";
  if (left < 0.0) text += " Do not drive it like that.";
  if (!rod_end.high_misalignment)
    text +=
        " High-misalignment spacers let it tilt further; so does turning the rod end so that it stands level "
        "in the middle of the travel, where its stud allows that.";
  warnings.push_back(text);
}

void warn_of_readings(const Advice& advice, Warnings& warnings) {
  if (!advice.verification || advice.verification->refined || advice.verification->consistent) return;
  const Verification& verification = *advice.verification;
  if (verification.degrees_of_freedom == 0) {
    warnings.push_back(
        "The hardpoints came without uncertainties, so the toe readings are only shown beside them, not "
        "worked "
        "in.");
    return;
  }
  const int decimals = verification.probability < 1e-3 ? 3 : 1;
  warnings.push_back("The toe readings contradict the hardpoints (by chance in " +
                     format_fixed(100.0 * verification.probability, decimals) +
                     " % of cases at most) and are left out. Read toe again, check that the spacers were the "
                     "same, or photograph again.");
}

void warn_of_draws(const HeightDraws& draws, Warnings& warnings) {
  std::string words = "The points are so uncertain that the height's uncertainty was found by " +
                      std::to_string(draws.draws) + " draws instead of by derivatives: 95 % of the heights " +
                      "lie from " + mm_words(draws.low_mm) + " to " + mm_words(draws.high_mm) + ".";
  if (draws.without_height > 0)
    words += " In " + std::to_string(draws.without_height) +
             " of them the corner could not move, or no height cured it.";
  warnings.push_back(words);
}

// A link that reaches across the car is rare, a sign that is forgotten is not.
void warn_of_far_side(const Corner& corner, Warnings& warnings) {
  for (const Hardpoint& point : corner.points)
    if (const double across = -point.position_vehicle_mm.y(); across > far_side_mm)
      warnings.push_back("The " + workshop_words(point.name) + " lies " + mm_words(across, 0) +
                         " beyond the car's middle, on the other side: is the sign of its y right?");
}

void warn_of_uncertainty(const Advice& advice, const Corner& corner, Warnings& warnings) {
  const double sigma_mm = advice.best_height_change_mm.sigma;
  if (corner.covariance_mm2.size() == 0)
    warnings.push_back("The hardpoints came without uncertainties, so the height has none either.");
  else if (sigma_mm > near_enough_mm)
    warnings.push_back("The height is uncertain by ± " + mm_words(sigma_mm) + "; the " +
                       worst_coordinate(advice) + " has the largest share in it (" +
                       percent(advice.shares.front().share) + "): measure that one better first.");
  if (advice.height_draws) warn_of_draws(*advice.height_draws, warnings);
}

}  // namespace

namespace {

constexpr double worth_another_link_mm = 1.0;

// What would cure a curve that bends the same way in bump and droop.
std::string length_words(const LinkFit& fit) {
  const double too_short = fit.ideal_link_length_mm - fit.link_length_mm;
  if (!fit.has_ideal_length || std::abs(too_short) < worth_another_link_mm) return {};
  const std::string size = mm_words(std::abs(too_short), 0);
  const bool longer = too_short > 0.0;
  return " The link is " + size + (longer ? " too short" : " too long") +
         " for its place: with the inner joint " + size + " further " + (longer ? "inboard" : "outboard") +
         " along the link, and a link " + (longer ? "longer" : "shorter") +
         " by as much, the curve would be flat near ride height.";
}

}  // namespace

std::vector<std::string> warnings_of(const Advice& advice, const Corner& corner, const RodEnd& rod_end,
                                     const BestHeight& best) {
  Warnings warnings;
  warn_of_far_side(corner, warnings);
  for (const std::string& sentence : implausible(corner)) warnings.push_back(sentence);
  warn_of_readings(advice, warnings);
  warn_of_tilt(advice, rod_end, warnings);
  if (!advice.now.ended_early.empty()) warnings.push_back(advice.now.ended_early);
  if (!best.found) return warnings;
  if (advice.best.ended_early != advice.now.ended_early && !advice.best.ended_early.empty())
    warnings.push_back("At the best height: " + advice.best.ended_early);
  if (std::abs(best.height_mm) > implausible_height_mm)
    warnings.push_back("A change of " + mm_words(std::abs(best.height_mm)) +
                       " is more than spacers usually cure: check the hardpoints.");
  warn_of_reach(advice, rod_end, warnings);
  warn_of_thread(advice, rod_end, warnings);
  warn_of_neighbours(advice, warnings);
  warn_of_uncertainty(advice, corner, warnings);
  if (advice.best.largest_change_rad > worth_a_warning_rad)
    warnings.push_back(
        degree_words(advice.best.largest_change_rad) + " deg of toe change stay even at the best height" +
        (mostly_curved(advice.best) ? ", the same way in bump and in droop" : "") +
        ": that comes from the length of the steering link and the place of its inner joint, and no "
        "spacer cures it." +
        (mostly_curved(advice.best) ? length_words(advice.link_fit) : ""));
  return warnings;
}

}  // namespace pivotfix
