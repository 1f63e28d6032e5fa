// SPDX-License-Identifier: Apache-2.0
#include "advice/reach_words.h"

#include <algorithm>
#include <cmath>

#include "advice/free_travel.h"
#include "advice/stack.h"
#include "advice/wording.h"
#include "base/units.h"

namespace pivotfix {
namespace {

std::string between_words() {
  return " between steering arm and rod end";
}

// Bare contact is not enough: the rack, and for a large miss the rod end on the arm's other side.
std::string beyond_bare_contact(const WantedPart& part, const RodEnd& rod_end) {
  constexpr double turned_over_mm = 20.0;  // below, turning the rod end over goes much too far
  const bool below = rod_end.mount == RodEndMount::below_arm;
  const double miss_mm = -part.between_mm;
  std::string text =
      "Even bare contact leaves it " + mm_words(miss_mm, 2) + (below ? " too low" : " too high");
  const double inner_mm = part.inner_end_instead_mm;
  const bool rack_would = std::isfinite(inner_mm) && std::abs(inner_mm) < implausible_height_mm;
  if (rack_would)
    text += ": the rack, or the link's inner end, about " + mm_words(std::abs(inner_mm)) +
            (inner_mm < 0.0 ? " lower" : " higher") + " would do" + (miss_mm < turned_over_mm ? "" : ".");
  if (miss_mm < turned_over_mm) return text + ".";
  const double ball_mm = rod_end.sizes.ball_width_mm;
  return text + (rack_would ? " Or" : ":") + " mount the rod end " + (below ? "above" : "below") +
         " the arm: that " + (below ? "raises" : "lowers") + " it by at least the thickness of the arm and " +
         (ball_mm > 0.0 ? "the " + mm_words(ball_mm) + " of its ball's width."
                        : std::string("its ball's width, 30 mm to 40 mm as a rule."));
}

double ordinary_total_mm(const Stack& stack, const RodEnd& rod_end) {
  return stack.total_mm - (rod_end.high_misalignment ? 2.0 * rod_end.high_misalignment->thickness_mm : 0.0);
}

std::string what_part_would(const Advice& advice, const RodEnd& rod_end) {
  const WantedPart& part = advice.wanted_part;
  const double room_mm = largest_total_mm(rod_end);
  if (part.between_mm < 0.0) return beyond_bare_contact(part, rod_end);
  if (part.with_more_thread) {
    const Stack& stack = *part.with_more_thread;
    return "Spacers left in the box would do: " + words_of(stack.between) + " (" +
           mm_words(stack.between_mm, 2) + ")" + between_words() +
           (std::isfinite(room_mm)
                ? ", on a stud " + mm_words(ordinary_total_mm(stack, rod_end) - room_mm, 2) + " longer."
                : ", if the stud has " + mm_words(stack.over_total_mm, 2) +
                      " more thread to spare beyond the nut.");
  }
  if (part.between_mm > room_mm)
    return "It takes " + mm_words(part.between_mm, 2) + between_words() +
           ": even with none on the other side the stud is " + mm_words(part.between_mm - room_mm, 2) +
           " too short.";
  if (part.other_side_mm < 0.0)
    return "All spacers on the stud together are " + mm_words(-part.other_side_mm, 2) +
           " too thin: a spacer that much thicker" + between_words() + " would do" +
           (std::isfinite(room_mm) ? "." : ", with a stud that is as much longer.");
  return "A pair of spacers would: " + mm_words(part.between_mm, 2) + between_words() + " and " +
         mm_words(std::min(part.other_side_mm, room_mm - part.between_mm), 2) + " on the other side.";
}

std::string lower_total_words(const Advice& advice, const RodEnd& rod_end) {
  if (!advice.wanted_part.with_lower_total) return "";
  const Stack& stack = *advice.wanted_part.with_lower_total;
  return " With less on the stud than the " + mm_words(intended_total_mm(rod_end), 2) +
         " that the maker wants it would fit: " + words_of(stack.between) + " (" +
         mm_words(stack.between_mm, 2) + ")" + between_words() + ", " +
         mm_words(ordinary_total_mm(stack, rod_end), 2) + " in all.";
}

std::string why_near_enough(const Advice& advice) {
  if (advice.near_enough == NearEnough::within_doubt)
    return "That is near enough: the height is known to" +
           plus_minus_words(advice.best_height_change_mm.sigma) + " only.";
  if (advice.driving.aim == HeightAim::zero_slope)
    return "That is near enough: it leaves " +
           degree_words(std::abs(advice.with_stack.slope_rad_mm) * mm_per_inch) +
           " deg of toe change per inch at ride height.";
  const Travel reached = reached_by_both(advice.with_stack, advice.best, advice.travel);
  return "That is near enough: it leaves " + degree_words(largest_change_rad(advice.with_stack, reached)) +
         " deg of toe change, the best height " + degree_words(largest_change_rad(advice.best, reached)) +
         " deg.";
}

}  // namespace

std::string out_of_reach_words(const Advice& advice, const RodEnd& rod_end) {
  if (advice.reached || !advice.worth_changing || advice.passed_over) return "";  // that is told beside it
  if (advice.stacks.empty()) {
    const double most_mm = largest_total_mm(rod_end);
    return "No stack of these spacers is right for the stud" +
           (std::isfinite(most_mm) ? ": it has room for " + mm_words(std::max(0.0, most_mm), 2) +
                                         " of spacers with the nut and the thread that must show"
                                   : std::string(": none adds up to what the maker wants")) +
           ". " + what_part_would(advice, rod_end) + lower_total_words(advice, rod_end);
  }
  const double miss = advice.stacks.front().short_of_best_mm;
  return "No stack of these spacers comes within " + mm_words(near_enough_mm) + " of the best height: " +
         (advice.stays ? "as it stands" : "with the " + first_stack_is(advice) + " one") +
         " the rod end sits " + mm_words(std::abs(miss)) + " too " + (miss > 0.0 ? "high" : "low") + ". " +
         (advice.near_enough == NearEnough::no
              ? what_part_would(advice, rod_end) + lower_total_words(advice, rod_end)
              : why_near_enough(advice));
}

}  // namespace pivotfix
