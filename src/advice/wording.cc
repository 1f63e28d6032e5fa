// SPDX-License-Identifier: Apache-2.0
#include "advice/wording.h"

#include <algorithm>
#include <cmath>

#include "advice/stack.h"
#include "base/units.h"

namespace pivotfix {
namespace {

// A height this near is as good as met: nobody sets a spacer or reads a gauge finer.
constexpr double near_enough_mm = 0.5;
constexpr double no_change_mm = 0.05;
constexpr double worth_a_warning_rad = 0.05 * rad_per_deg;  // toe change that a best height leaves
constexpr double implausible_height_mm = 30.0;

std::string mm(double length_mm, int decimals = 1) {
  return format_length(length_mm, LengthUnit::millimetre, decimals);
}

// "40 mm", "37.5 mm"
std::string round_mm(double length_mm) {
  return mm(length_mm, length_mm == std::round(length_mm) ? 0 : 1);
}

std::string degrees(double angle_rad) {
  return format_fixed(deg_from_rad(angle_rad), 2);
}

std::string toe_in_words(double toe_rad) {
  const std::string size = degrees(std::abs(toe_rad)) + " deg";
  if (size == degrees(0.0) + " deg") return size;
  return size + (toe_rad > 0.0 ? " toe-in" : " toe-out");
}

std::string plus_minus(double sigma_mm) {
  return sigma_mm > 0.0 ? " ± " + mm(sigma_mm) : "";
}

std::string between() {
  return " between steering arm and rod end";
}

std::string what_to_do(const Advice& advice, const RodEnd& rod_end) {
  const double best = advice.best_height_change_mm.value;
  if (advice.stacks.empty()) {
    if (std::abs(best) < no_change_mm) return "Leave the outer end of the steering link where it is.";
    return std::string(best < 0.0 ? "Lower" : "Raise") + " the outer end of the steering link by " +
           mm(std::abs(best)) + plus_minus(advice.best_height_change_mm.sigma) + ".";
  }
  const Stack& stack = advice.stacks.front();
  const std::string now = mm(total_thickness_mm(rod_end.between_now), 2);
  if (std::abs(stack.height_change_mm) < 1e-3)
    return "Leave the spacers as they are: " + now + between() + ".";
  if (stack.between.empty()) return "Take all spacers out" + between() + "; now " + now + ".";
  return "Put " + words_of(stack.between) + " (" + mm(stack.between_mm, 2) + ")" + between() + "; now " +
         now + ".";
}

std::string what_is_wrong(const Advice& advice) {
  const double best = advice.best_height_change_mm.value;
  const std::string link_end = "The outer end of the steering link";
  if (std::abs(best) < no_change_mm)
    return link_end + " is at its best height" + plus_minus(advice.best_height_change_mm.sigma) + ".";
  const double per_inch = advice.now.slope_rad_mm * mm_per_inch;
  return link_end + " sits " + mm(std::abs(best)) + plus_minus(advice.best_height_change_mm.sigma) + " too " +
         (best < 0.0 ? "high" : "low") + ": in bump the wheel toes " + (per_inch < 0.0 ? "out " : "in ") +
         degrees(std::abs(per_inch)) + " deg per inch.";
}

std::string what_it_brings(const Advice& advice) {
  const ToeCurve& then = advice.stacks.empty() ? advice.best : advice.with_stack;
  const std::string before = degrees(advice.now.largest_change_rad);
  const std::string after = degrees(then.largest_change_rad);
  const std::string over = "Toe change over " + round_mm(advice.travel.bump_mm) + " bump and " +
                           round_mm(advice.travel.droop_mm) + " droop ";
  if (before == after) return over + "stays at " + before + " deg.";
  return over + (then.largest_change_rad < advice.now.largest_change_rad ? "falls" : "rises") + " from " +
         before + " to " + after + " deg.";
}

// Half of what both ends of the curve have in common, against half of what they differ by.
bool mostly_curved(const ToeCurve& curve) {
  const double bump = curve.toe_change_rad.back();
  const double droop = curve.toe_change_rad.front();
  return std::abs(bump + droop) > std::abs(bump - droop);
}

void warn_of_stacks(const Advice& advice, const RodEnd& rod_end, std::vector<std::string>& warnings) {
  if (advice.stacks.empty()) return;
  const Stack& stack = advice.stacks.front();
  const double miss = stack.short_of_best_mm;
  if (std::abs(miss) > near_enough_mm) {
    const bool more = (miss > 0.0) == (rod_end.mount == RodEndMount::below_arm);
    warnings.push_back("No stack of these spacers comes within " + mm(near_enough_mm) +
                       " of the best height: with the nearest one the rod end sits " + mm(std::abs(miss)) +
                       " too " + (miss > 0.0 ? "high" : "low") + "; " + mm(std::abs(miss), 2) +
                       (more ? " more" : " less") + between() + " would be needed.");
  }
  if (advice.stacks.size() < 2) return;
  // The second is the better one once the best height lies beyond the middle between both.
  const double other = advice.stacks[1].height_change_mm;
  const double to_middle =
      std::abs(0.5 * (stack.height_change_mm + other) - advice.best_height_change_mm.value);
  const double sigma = advice.best_height_change_mm.sigma;
  if (sigma > to_middle)
    warnings.push_back("The best height is known to ± " + mm(sigma) +
                       " only, the two nearest stacks differ by " +
                       mm(std::abs(other - stack.height_change_mm), 2) + ": either may be the better one.");
}

// The hardpoint whose uncertainty, taken alone, moves the best height most.
std::string largest_share(const Corner& corner, const BestHeight& best) {
  double largest = -1.0;
  std::string name;
  for (std::size_t i = 0; i < corner.points.size(); ++i) {
    const Eigen::Index at = static_cast<Eigen::Index>(3 * i);
    const Eigen::Vector3d slope = best.by_coordinate.segment<3>(at);
    const double variance = slope.dot(corner.covariance_mm2.block<3, 3>(at, at) * slope);
    if (variance > largest) name = corner.points[i].name;
    largest = std::max(largest, variance);
  }
  return name;
}

}  // namespace

std::vector<std::string> sentences_of(const Advice& advice, const Corner& corner, const RodEnd& rod_end,
                                      const BestHeight& best) {
  if (!best.found)
    return {std::string("Spacers cannot cure this: ") +
                (best.too_far ? "the best height is too far away. Check the hardpoints."
                              : "moving the rod end along its stud hardly changes the toe curve."),
            "Toe change over the travel is " + degrees(advice.now.largest_change_rad) + " deg."};
  std::vector<std::string> sentences = {what_to_do(advice, rod_end)};
  const bool moves = advice.stacks.empty() ? std::abs(advice.best.rod_end_height_mm) >= no_change_mm
                                           : std::abs(advice.stacks.front().height_change_mm) >= 1e-3;
  if (!advice.stacks.empty() && !advice.stacks.front().other_side.empty())
    sentences.push_back("What is left over (" + words_of(advice.stacks.front().other_side) +
                        ") goes to the other side of the rod end.");
  sentences.push_back(what_is_wrong(advice));
  sentences.push_back(what_it_brings(advice));
  if (moves)
    sentences.push_back("Then set toe at ride height back to " + toe_in_words(corner.wheel.toe_rad) +
                        " with the length of the steering link.");
  return sentences;
}

std::vector<std::string> warnings_of(const Advice& advice, const Corner& corner, const RodEnd& rod_end,
                                     const BestHeight& best) {
  std::vector<std::string> warnings;
  if (!advice.now.ended_early.empty()) warnings.push_back(advice.now.ended_early);
  if (!best.found) return warnings;
  if (advice.best.ended_early != advice.now.ended_early && !advice.best.ended_early.empty())
    warnings.push_back("At the best height: " + advice.best.ended_early);
  if (std::abs(best.height_mm) > implausible_height_mm)
    warnings.push_back("A change of " + mm(std::abs(best.height_mm)) +
                       " is more than spacers usually cure: check the hardpoints.");
  warn_of_stacks(advice, rod_end, warnings);
  if (corner.covariance_mm2.size() == 0)
    warnings.push_back("The hardpoints came without uncertainties, so the height has none either.");
  else if (best.sigma_mm > near_enough_mm)
    warnings.push_back("The height is uncertain by ± " + mm(best.sigma_mm) + "; '" +
                       largest_share(corner, best) +
                       "' has the largest share in it: measure that one better first.");
  if (advice.best.largest_change_rad > worth_a_warning_rad)
    warnings.push_back(
        degrees(advice.best.largest_change_rad) + " deg of toe change stay even at the best height" +
        (mostly_curved(advice.best) ? ", the same way in bump and in droop" : "") +
        ": that comes from the length of the steering link and the place of its inner joint, and no "
        "spacer cures it.");
  return warnings;
}

}  // namespace pivotfix
