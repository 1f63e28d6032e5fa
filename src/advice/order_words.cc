// SPDX-License-Identifier: Apache-2.0
#include "advice/order_words.h"

#include <cmath>

#include "advice/free_travel.h"
#include "advice/judgement.h"
#include "advice/stack.h"
#include "advice/wording.h"

namespace pivotfix {
namespace {

bool same_spacers(const std::vector<Spacer>& a, const std::vector<Spacer>& b) {
  return std::abs(total_thickness_mm(a) - total_thickness_mm(b)) < 1e-3;
}

// "5 mm (5.00 mm)"
std::string between_words(const Stack& stack) {
  if (stack.between.empty()) return "no spacer";
  return words_of(stack.between) + " (" + mm_words(stack.between_mm, 2) + ")";
}

std::string why_now_may_not_stay(MustChange why) {
  switch (why) {
    case MustChange::high_misalignment:
      return "one of the pair of high-misalignment spacers comes between as well";
    case MustChange::total:
      return "the spacers on the stud must add up to what the maker wants";
    case MustChange::thread:
      return "what is on the stud now leaves too little thread beyond the locknut";
    case MustChange::no:
      break;
  }
  return "nothing else is at hand";
}

}  // namespace

std::string what_to_do(const Advice& advice) {
  const double best = advice.best_height_change_mm.value;
  if (advice.stacks.empty()) {
    if (std::abs(best) < no_change_mm || !advice.worth_changing)
      return "Leave the outer end of the steering link where it is.";
    return std::string(best < 0.0 ? "Lower" : "Raise") + " the outer end of the steering link by " +
           mm_words(std::abs(best)) + plus_minus_words(advice.best_height_change_mm.sigma) + ".";
  }
  const Stack& stack = advice.stacks.front();
  const std::string between = " between steering arm and rod end";
  const std::string now = mm_words(advice.stack_now.between_mm, 2);
  const bool as_now = same_spacers(stack.between, advice.stack_now.between);
  if (as_now && advice.worth_changing && !advice.reached && advice.near_enough == NearEnough::no &&
      !advice.passed_over)
    return "These spacers do not cure it; what would is under \"What limits this answer\". Until then "
           "leave " +
           now + between + ".";
  if (as_now || !advice.worth_changing) return "Leave the spacers as they are: " + now + between + ".";
  if (stack.between.empty()) return "Take all spacers out" + between + "; now " + now + ".";
  return "Put " + between_words(stack) + between + "; now " + now + ".";
}

std::string what_to_do_with_the_rest(const Advice& advice) {
  if (advice.stacks.empty()) return "";
  const Stack& stack = advice.stacks.front();
  if (same_spacers(stack.between, advice.stack_now.between) &&
      same_spacers(stack.other_side, advice.stack_now.other_side))
    return "";
  std::string text;
  if (!stack.other_side.empty())
    text = "On the other side of the rod end: " + words_of(stack.other_side) + " (" +
           mm_words(total_thickness_mm(stack.other_side), 2) + "), so that the nut clamps " +
           mm_words(stack.total_mm, 2) + " of spacers in all.";
  if (stack.over_total_mm > 0.0)
    text += (text.empty() ? "" : " ") + ("That is " + mm_words(stack.over_total_mm, 2)) +
            " more than the total so far: " + mm_words(stack.thread_beyond_nut_mm) +
            " of thread stays beyond the locknut.";
  if (stack.under_total_mm > 0.0)
    text += (text.empty() ? "" : " ") + ("That is " + mm_words(stack.under_total_mm, 2)) +
            " less than the total so far, for which the thread is too short: " +
            mm_words(stack.thread_beyond_nut_mm) + " of thread stays beyond the locknut.";
  if (!stack.left_over.empty())
    text += (text.empty() ? "" : " ") + std::string("Left over: ") + words_of(stack.left_over) + ".";
  return text;
}

std::string whether_it_locks(const Advice& advice) {
  const Travel today = reach_of(advice.now);
  const Travel then = reach_of(curve_then(advice));
  if (locks_before(then, today))
    return "With this " + std::string(advice.stacks.empty() ? "change" : "stack") + " the corner locks at " +
           locks_at_words(then, today, advice.travel) +
           ". Do not drive it like that unless something else stops the wheel before.";
  if (!advice.passed_over) return "";
  return "Better for toe would be " + between_words(advice.passed_over->stack) +
         ", but with that the corner locks at " +
         locks_at_words(advice.passed_over->reach, today, advice.travel) + ".";
}

std::string how_near(const Advice& advice) {
  if (advice.reached) return "";
  if (advice.stacks.empty()) return "No stack of these spacers is right for the stud.";
  const double miss_mm = advice.stacks.front().short_of_best_mm;
  if (advice.passed_over)
    return "This stack leaves the rod end " + mm_words(std::abs(miss_mm)) + " too " +
           (miss_mm > 0.0 ? "high." : "low.");
  const std::string near = advice.near_enough == NearEnough::no ? "" : ", which is near enough";
  if (advice.stays)
    return "No stack of these spacers reaches the best height: the rod end stays " +
           mm_words(std::abs(miss_mm)) + " too " + (miss_mm > 0.0 ? "high" : "low") + near +
           ", and the nearest one would bring nothing that shows in toe.";
  return "No stack of these spacers reaches the best height: this one is the " + first_stack_is(advice) +
         " and leaves the rod end " + mm_words(std::abs(miss_mm)) + " too " +
         (miss_mm > 0.0 ? "high" : "low") + near + ".";
}

std::string why_worse_than_now(const Advice& advice) {
  if (!worse_than_now(advice)) return "";
  const bool zero_slope = advice.driving.aim == HeightAim::zero_slope;
  const bool at_ride_height = zero_slope || steeper_at_ride_height(advice.with_stack, advice.now);
  const bool over_travel =
      !zero_slope || advice.with_stack.largest_change_rad > advice.now.largest_change_rad;
  return "It is worse than what is on the car now, " + std::string(over_travel ? "over the travel" : "") +
         (over_travel && at_ride_height ? " and " : "") + (at_ride_height ? "at ride height" : "") +
         ", and ordered all the same because " + why_now_may_not_stay(advice.must_change) + ".";
}

std::string what_else_could_be_done(const Advice& advice) {
  if (advice.worth_changing || advice.stacks.empty()) return "";
  const Stack& stack = advice.stacks.front();
  if (same_spacers(stack.between, advice.stack_now.between)) return "";
  return (first_is_nearest(advice) ? "Nearest to the best height would be "
                                   : "Flattest over the travel would be ") +
         between_words(stack) + " between steering arm and rod end.";
}

}  // namespace pivotfix
