// SPDX-License-Identifier: Apache-2.0
#include "advice/wording.h"

#include <algorithm>
#include <cmath>

#include "advice/stack.h"
#include "base/length_words.h"
#include "base/units.h"

namespace pivotfix {
namespace {

constexpr double no_change_mm = 0.05;

std::string toe_in_words(double toe_rad) {
  const std::string size = degree_words(std::abs(toe_rad)) + " deg";
  if (size == degree_words(0.0) + " deg") return size;
  return size + (toe_rad > 0.0 ? " toe-in" : " toe-out");
}

bool same_spacers(const std::vector<Spacer>& a, const std::vector<Spacer>& b) {
  return std::abs(total_thickness_mm(a) - total_thickness_mm(b)) < 1e-3;
}

std::string what_to_do(const Advice& advice) {
  const double best = advice.best_height_change_mm.value;
  if (advice.stacks.empty()) {
    if (std::abs(best) < no_change_mm) return "Leave the outer end of the steering link where it is.";
    return std::string(best < 0.0 ? "Lower" : "Raise") + " the outer end of the steering link by " +
           mm_words(std::abs(best)) + plus_minus_words(advice.best_height_change_mm.sigma) + ".";
  }
  const Stack& stack = advice.stacks.front();
  const std::string between = " between steering arm and rod end";
  const std::string now = mm_words(advice.stack_now.between_mm, 2);
  if (same_spacers(stack.between, advice.stack_now.between))
    return "Leave the spacers as they are: " + now + between + ".";
  if (stack.between.empty()) return "Take all spacers out" + between + "; now " + now + ".";
  return "Put " + words_of(stack.between) + " (" + mm_words(stack.between_mm, 2) + ")" + between + "; now " +
         now + ".";
}

// Where the other spacers go.
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
  if (!stack.left_over.empty())
    text += (text.empty() ? "" : " ") + std::string("Left over: ") + words_of(stack.left_over) + ".";
  return text;
}

// Said at once: else one bolts on what does not cure it.
std::string how_near(const Advice& advice) {
  if (advice.reached || advice.stacks.empty()) return "";
  const double miss_mm = advice.stacks.front().short_of_best_mm;
  return "No stack of these spacers reaches the best height: this one is the nearest and leaves the rod "
         "end " +
         mm_words(std::abs(miss_mm)) + " too " + (miss_mm > 0.0 ? "high" : "low") + ".";
}

std::string what_is_wrong(const Advice& advice) {
  const double best = advice.best_height_change_mm.value;
  const std::string link_end = "The outer end of the steering link";
  const std::string sigma = plus_minus_words(advice.best_height_change_mm.sigma);
  if (std::abs(best) < no_change_mm) return link_end + " is at its best height" + sigma + ".";
  const double per_inch = advice.now.slope_rad_mm * mm_per_inch;
  return link_end + " sits " + mm_words(std::abs(best)) + sigma + " too " + (best < 0.0 ? "high" : "low") +
         ": in bump the wheel toes " + (per_inch < 0.0 ? "out " : "in ") + degree_words(std::abs(per_inch)) +
         " deg per inch.";
}

std::string what_it_brings(const Advice& advice) {
  const ToeCurve& then = advice.stacks.empty() ? advice.best : advice.with_stack;
  const std::string before = degree_words(advice.now.largest_change_rad);
  const std::string after = degree_words(then.largest_change_rad);
  const std::string over = "Toe change over " + round_mm_words(advice.travel.bump_mm) + " bump and " +
                           round_mm_words(advice.travel.droop_mm) + " droop ";
  if (before == after) return over + "stays at " + before + " deg.";
  return over + (then.largest_change_rad < advice.now.largest_change_rad ? "falls" : "rises") + " from " +
         before + " to " + after + " deg.";
}

// "2", "0.25"
std::string weight_words(double weight) {
  std::string text = format_fixed(weight, 3);
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text;
}

std::string place_words(double travel_mm) {
  if (travel_mm == 0.0) return "at ride height";
  return "at " + round_mm_words(std::abs(travel_mm)) + (travel_mm < 0.0 ? " droop" : " bump");
}

// Whoever asked for another meaning of "flattest" wants to see that it was used; else nothing is said.
std::string what_flat_means(const Driving& driving) {
  const std::vector<TravelWeight>& weights = driving.weights;
  if (driving.aim == HeightAim::zero_slope)
    return "Flattest here means no slope at ride height" +
           std::string(weights.empty() ? "." : ": weights do not count in that.");
  const std::string start = driving.aim == HeightAim::smallest_peak
                                ? "Flattest here means that the largest toe change is as small as can be"
                                : "Flattest here means least toe change over the whole travel";
  if (weights.empty()) return driving.aim == HeightAim::least_squares ? "" : start + ".";
  if (std::all_of(weights.begin(), weights.end(),
                  [&](const TravelWeight& point) { return point.weight == weights.front().weight; }))
    return start + ". The weight is the same at every travel, so it changes nothing: give two that differ.";
  std::string list;
  for (std::size_t i = 0; i < weights.size(); ++i)
    list += (i == 0                   ? ""
             : i + 1 < weights.size() ? ", "
                                      : " and ") +
            weight_words(weights[i].weight) + " " + place_words(weights[i].travel_mm);
  return start + ", which counts " + list + ", evenly in between and unchanged beyond.";
}

std::string how_to_set_toe(const Advice& advice, const Corner& corner) {
  const ToeCurve& then = advice.stacks.empty() ? advice.best : advice.with_stack;
  const double longer = then.link_length_change_mm;
  std::string text = "Then set toe at ride height back to " + toe_in_words(corner.wheel.toe_rad) +
                     " with the length of the steering link";
  if (std::abs(longer) >= no_change_mm)
    text += ", which becomes about " + mm_words(std::abs(longer)) + (longer < 0.0 ? " shorter" : " longer");
  return text + ".";
}

// "20.0 ± 0.2 mm below now"
std::string height_words(const Uncertain& height_mm) {
  return format_fixed(std::abs(height_mm.value), 1) + plus_minus_words(height_mm.sigma) +
         (height_mm.value < 0.0 ? " below now" : " above now");
}

std::string what_readings_did(const Verification& verification) {
  if (!verification.refined)
    return verification.consistent
               ? "Toe in the photo sets agrees with the hardpoints. Both rest on the same "
                 "motion, so it is a check and not worked in."
               : "";
  const Uncertain& before = verification.height_before_mm;
  const Uncertain& after = verification.height_refined_mm;
  return "The toe readings fit and are worked in: they bring the best height from " + height_words(before) +
         " to " + height_words(after) + ".";
}

std::string why_spacers_cannot(const Advice& advice, const BestHeight& best) {
  const std::string text = "Spacers cannot cure this: ";
  if (!best.too_far) return text + "moving the rod end along its stud hardly changes the toe curve.";
  return text + "the best height is too far away. " +
         (advice.now.ended_early.empty() ? "Check the hardpoints."
                                         : "The corner locks within the travel that is asked for: ask for "
                                           "less, or check the hardpoints.");
}

void add(std::string text, std::vector<std::string>& sentences) {
  if (!text.empty()) sentences.push_back(std::move(text));
}

}  // namespace

std::string mm_words(double length_mm, int decimals) {
  return length_words(length_mm, decimals);
}

std::string round_mm_words(double length_mm) {
  return mm_words(length_mm, length_mm == std::round(length_mm) ? 0 : 1);
}

std::string degree_words(double angle_rad, int decimals) {
  return format_fixed(deg_from_rad(angle_rad), decimals);
}

std::string plus_minus_words(double sigma_mm) {
  constexpr double least_shown_mm = 0.1;  // never "± 0.0"
  return sigma_mm > 0.0 ? " ± " + mm_words(std::max(sigma_mm, least_shown_mm)) : "";
}

std::vector<std::string> sentences_of(const Advice& advice, const Corner& corner, const BestHeight& best) {
  if (!best.found)
    return {why_spacers_cannot(advice, best),
            "Toe change over the travel is " + degree_words(advice.now.largest_change_rad) + " deg."};
  std::vector<std::string> sentences;
  if (advice.verification && advice.verification->degrees_of_freedom > 0 && !advice.verification->consistent)
    sentences.push_back("Do not act on this yet: toe as read contradicts the hardpoints.");
  sentences.push_back(what_to_do(advice));
  add(how_near(advice), sentences);
  add(what_to_do_with_the_rest(advice), sentences);
  sentences.push_back(what_is_wrong(advice));
  sentences.push_back(what_it_brings(advice));
  add(what_flat_means(advice.driving), sentences);
  if (advice.verification) add(what_readings_did(*advice.verification), sentences);
  const bool moves = advice.stacks.empty() ? std::abs(advice.best.rod_end_height_mm) >= no_change_mm
                                           : std::abs(advice.stacks.front().height_change_mm) >= 1e-3;
  if (moves) sentences.push_back(how_to_set_toe(advice, corner));
  return sentences;
}

}  // namespace pivotfix
