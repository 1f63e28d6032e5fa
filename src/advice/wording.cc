// SPDX-License-Identifier: Apache-2.0
#include "advice/wording.h"

#include <algorithm>
#include <cmath>

#include "advice/free_travel.h"
#include "advice/height_search.h"
#include "advice/judgement.h"
#include "advice/order_words.h"
#include "base/length_words.h"
#include "base/units.h"

namespace pivotfix {
namespace {

bool shows(double toe_rad) {
  return degree_words(std::abs(toe_rad)) != degree_words(0.0);
}

std::string toe_in_words(double toe_rad) {
  std::string size = degree_words(std::abs(toe_rad)) + " deg";
  if (!shows(toe_rad)) return size;
  return size + (toe_rad > 0.0 ? " toe-in" : " toe-out");
}

// Said beside the order: whoever reads no further must not drive a rod end that binds.
std::string whether_it_binds(const Advice& advice) {
  const Tilt& tilt = advice.tilt;
  const bool as_it_is = !advice.found || !advice.worth_changing;
  const double needed_rad = as_it_is ? tilt.largest_now_rad : tilt.largest_then_rad;
  const double allowed_rad = as_it_is ? tilt.allowed_now_rad : tilt.allowed_then_rad;
  if (!(allowed_rad > 0.0) || needed_rad <= allowed_rad) return "";
  return "Do not drive it like that: the rod end binds. It must tilt " + degree_words(needed_rad, 1) +
         " deg, and " + degree_words(allowed_rad, 1) + " deg are allowed.";
}

// "4.1 mm ± 0.4 mm too high"
std::string off_words(const Uncertain& best_mm) {
  return mm_words(std::abs(best_mm.value)) + plus_minus_words(best_mm.sigma) + " too " +
         (best_mm.value < 0.0 ? "high" : "low");
}

// The slope at ride height is the reason only where it asks for the same direction.
bool slope_is_the_cause(const Advice& advice) {
  const AimedHeight* flat = height_of(advice, HeightAim::zero_slope);
  return flat && flat->height_change_mm.value * advice.best_height_change_mm.value > 0.0 &&
         shows(advice.now.slope_rad_mm * mm_per_inch);
}

std::string bent_curve_words(const Advice& advice) {
  constexpr double wrong_length_mm = 1.0;
  const double too_short_mm = advice.link_too_short_mm.value;
  const double slope_then = advice.best.slope_rad_mm * mm_per_inch;
  std::string text = std::abs(too_short_mm) < wrong_length_mm
                         ? std::string("the toe curve bends")
                         : "a link " + mm_words(std::abs(too_short_mm), 0) + " too " +
                               (too_short_mm > 0.0 ? "short" : "long") + " bends the toe curve";
  text += ", and the best height ";
  if (shows(slope_then))
    text += "takes " + degree_words(std::abs(slope_then)) + " deg per inch at ride height ";
  return text + "for less toe change over that travel as a whole.";
}

std::string what_is_wrong(const Advice& advice) {
  const Uncertain& best = advice.best_height_change_mm;
  const std::string link_end = "The outer end of the steering link";
  if (std::abs(best.value) < no_change_mm)
    return link_end + " is at its best height" + plus_minus_words(best.sigma) + ".";
  if (!advice.worth_changing && std::abs(best.value) < best.sigma && best.sigma > coarse_mm)
    return "The rod end sits " + off_words(best) +
           ": measured too coarsely to tell. Measure again before you change anything.";
  if (!advice.worth_changing && std::abs(best.value) < best.sigma)
    return "Within its uncertainty the rod end is at its best height (" + off_words(best) +
           "): no need to change.";
  if (!advice.worth_changing)
    return "The rod end sits " + off_words(best) +
           (shows_in_toe(advice.now, advice.best)
                ? ", and no other stack of these spacers would bring anything that shows in toe"
                : ", and a change would hardly show in toe") +
           ": no need to change.";
  if (!slope_is_the_cause(advice))
    return link_end + " sits " + off_words(best) + " for the travel asked for: " + bent_curve_words(advice);
  const double per_inch = advice.now.slope_rad_mm * mm_per_inch;
  return link_end + " sits " + off_words(best) + ": in bump the wheel toes " +
         (per_inch < 0.0 ? "out " : "in ") + degree_words(std::abs(per_inch)) + " deg per inch.";
}

// "32 mm bump, where it locks, and 40 mm droop"
std::string travel_words(const Travel& reached, const Travel& asked) {
  const auto end = [](double reached_mm, double asked_mm, const char* way) {
    return reached_mm < asked_mm - 1e-6 ? mm_words(reached_mm, 0) + way + ", where it locks,"
                                        : round_mm_words(asked_mm) + way;
  };
  return end(reached.bump_mm, asked.bump_mm, " bump") + " and " +
         end(reached.droop_mm, asked.droop_mm, " droop");
}

// Both figures over the same travel, the one named: beyond it one of the curves does not go.
std::string what_it_brings(const Advice& advice) {
  const ToeCurve& then = curve_then(advice);
  const Travel reached = reached_by_both(advice.now, then, advice.travel);
  const double now_rad = largest_change_rad(advice.now, reached);
  const double then_rad = largest_change_rad(then, reached);
  const std::string before = degree_words(now_rad);
  const std::string after = degree_words(then_rad);
  const std::string over = "Toe change over " + travel_words(reached, advice.travel) + " ";
  if (before == after) return over + "stays at " + before + " deg.";
  const bool falls = then_rad < now_rad;
  return over +
         (advice.worth_changing ? falls ? "falls" : "rises"
          : falls               ? "would fall"
                                : "would rise") +
         " from " + before + " to " + after + " deg.";
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
  const double longer = curve_then(advice).link_length_change_mm;
  const std::string to = corner.wheel.toe_is_known
                             ? toe_in_words(corner.wheel.toe_rad)
                             : "what it was (read it before you start), or to what the maker wants,";
  std::string text =
      "Then set toe of this wheel at ride height back to " + to + " with the length of the steering link";
  if (std::abs(longer) >= no_change_mm)
    text += ", which becomes about " + mm_words(std::abs(longer)) + (longer < 0.0 ? " shorter" : " longer");
  return text + ".";
}

// "20.0 ± 0.2 mm below now"
std::string height_words(const Uncertain& height_mm) {
  const double size_mm = std::abs(height_mm.value);
  const std::string plus_minus = plus_minus_words(height_mm.sigma);
  return (plus_minus.empty() ? mm_words(size_mm) : format_fixed(size_mm, 1) + plus_minus) +
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

// Said first: what follows holds for what the corner can do, not for what was asked.
std::string where_it_locks(const Advice& advice) {
  if (advice.now.ended_early.empty()) return "";
  const double bump_mm = advice.now.travel_mm.back();
  const double droop_mm = -advice.now.travel_mm.front();
  std::string text;
  if (bump_mm < advice.travel.bump_mm - 1e-6)
    text =
        mm_words(std::floor(bump_mm), 0) + " of bump (" + round_mm_words(advice.travel.bump_mm) + " asked)";
  if (droop_mm < advice.travel.droop_mm - 1e-6)
    text += (text.empty() ? "" : " and ") + mm_words(std::floor(droop_mm), 0) + " of droop (" +
            round_mm_words(advice.travel.droop_mm) + " asked)";
  return "The corner locks at " + text + ": all below holds up to there only.";
}

std::string why_spacers_cannot(const Advice& advice, const Corner& corner, const BestHeight& best) {
  const std::string text = "Spacers cannot cure this: ";
  if (stud_lies_level(corner))
    return text + "the rod end's stud lies level, so that spacers move it sideways, not up or down.";
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

const ToeCurve& curve_then(const Advice& advice) {
  return advice.stacks.empty() ? advice.best : advice.with_stack;
}

std::string mm_words(double length_mm, int decimals) {
  return length_words(length_mm, decimals);
}

std::string round_mm_words(double length_mm) {
  constexpr double shown_mm = 0.05;  // 33.02 mm, out of 1.3 in, are 33 mm
  return mm_words(length_mm, std::abs(length_mm - std::round(length_mm)) < shown_mm ? 0 : 1);
}

std::string degree_words(double angle_rad, int decimals) {
  return format_fixed(deg_from_rad(angle_rad), decimals);
}

std::string plus_minus_words(double sigma_mm) {
  constexpr double least_shown_mm = 0.1;  // never "± 0.0"
  return sigma_mm >= exact_mm ? " ± " + mm_words(std::max(sigma_mm, least_shown_mm)) : "";
}

bool first_is_nearest(const Advice& advice) {
  constexpr double alike_mm = 0.01;
  const double first_mm = std::abs(advice.stacks.front().short_of_best_mm);
  return std::none_of(advice.stacks.begin(), advice.stacks.end(), [&](const Stack& stack) {
    return std::abs(stack.short_of_best_mm) < first_mm - alike_mm;
  });
}

std::string first_stack_is(const Advice& advice) {
  return first_is_nearest(advice) ? "nearest" : "flattest";
}

const AimedHeight* height_of(const Advice& advice, HeightAim aim) {
  for (const AimedHeight& height : advice.heights)
    if (height.aim == aim && height.found) return &height;
  return nullptr;
}

std::vector<std::string> sentences_of(const Advice& advice, const Corner& corner, const BestHeight& best) {
  std::vector<std::string> sentences;
  add(where_it_locks(advice), sentences);
  if (!best.found) {
    sentences.push_back(why_spacers_cannot(advice, corner, best));
    add(whether_it_binds(advice), sentences);
    sentences.push_back("Toe change over the travel is " + degree_words(advice.now.largest_change_rad) +
                        " deg.");
    return sentences;
  }
  if (advice.verification && advice.verification->degrees_of_freedom > 0 && !advice.verification->consistent)
    sentences.insert(sentences.begin(), "Do not act on this yet: toe as read contradicts the hardpoints.");
  sentences.push_back(what_to_do(advice));
  if (advice.worth_changing) add(whether_it_locks(advice), sentences);
  add(whether_it_binds(advice), sentences);
  if (advice.worth_changing) add(how_near(advice), sentences);
  if (advice.worth_changing) add(what_to_do_with_the_rest(advice), sentences);
  add(why_worse_than_now(advice), sentences);
  sentences.push_back(what_is_wrong(advice));
  add(what_else_could_be_done(advice), sentences);
  sentences.push_back(what_it_brings(advice));
  add(what_flat_means(advice.driving), sentences);
  if (advice.verification) add(what_readings_did(*advice.verification), sentences);
  const bool moves = advice.stacks.empty() ? std::abs(advice.best.rod_end_height_mm) >= no_change_mm
                                           : std::abs(advice.stacks.front().height_change_mm) >= 1e-3;
  if (moves && advice.worth_changing) sentences.push_back(how_to_set_toe(advice, corner));
  return sentences;
}

}  // namespace pivotfix
