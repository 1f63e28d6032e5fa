// SPDX-License-Identifier: Apache-2.0
// What limits the answer, most important first.
#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "advice/camber_words.h"
#include "advice/judgement.h"
#include "advice/plausible.h"
#include "advice/reach_words.h"
#include "advice/shares.h"
#include "advice/spacer_kinds.h"
#include "advice/stack.h"
#include "advice/wording.h"
#include "base/units.h"
#include "hardpoints/workshop_words.h"

namespace pivotfix {
namespace {

constexpr double worth_a_warning_rad = 0.05 * rad_per_deg;  // toe change that a best height leaves
constexpr double far_side_mm = 100.0;                       // beyond the car's middle
constexpr double little_tilt_left_rad = 1.0 * rad_per_deg;

using Warnings = std::vector<std::string>;

// The largest toe change on one side of ride height, signed, and the largest the other way.
struct OneSide {
  double largest_rad = 0.0;
  double against_rad = 0.0;
};

OneSide side_of(const ToeCurve& curve, double sign) {
  double in_rad = 0.0;
  double out_rad = 0.0;
  for (std::size_t i = 0; i < curve.travel_mm.size(); ++i) {
    if (sign * curve.travel_mm[i] <= 0.0) continue;
    in_rad = std::max(in_rad, curve.toe_change_rad[i]);
    out_rad = std::max(out_rad, -curve.toe_change_rad[i]);
  }
  return in_rad >= out_rad ? OneSide{in_rad, out_rad} : OneSide{-out_rad, in_rad};
}

// Bends the same way in bump and in droop: no ends of a curve that goes in and out on its way.
bool mostly_curved(const ToeCurve& curve) {
  constexpr double hardly_any = 0.05;  // of the largest
  constexpr double shows_rad = 0.01 * rad_per_deg;
  const auto one_way = [](const OneSide& side) {
    const double size_rad = std::abs(side.largest_rad);
    return size_rad >= shows_rad && side.against_rad <= hardly_any * size_rad;
  };
  const OneSide bump = side_of(curve, 1.0);
  const OneSide droop = side_of(curve, -1.0);
  return one_way(bump) && one_way(droop) && bump.largest_rad * droop.largest_rad > 0.0;
}

std::string worst_coordinate(const Advice& advice) {
  return advice.shares.empty() ? "" : advice.shares.front().words;
}

std::string percent(double share) {
  return format_fixed(100.0 * share, 0) + " %";
}

// Coordinates that err alike may cancel part of each other's error; the first one's share is then more than
// the whole. Empty where it is not; else the coordinate that takes most of it back.
std::string cancelled_by(const Advice& advice) {
  if (advice.shares.empty() || advice.shares.front().share <= 1.0) return {};
  return advice.shares.back().words;  // the most negative one
}

std::string what_to_measure_again(const Advice& advice) {
  if (advice.shares.empty() || camber_weighs_most(advice)) return "";
  const std::string worst = " Measure the " + worst_coordinate(advice);
  if (const std::string other = cancelled_by(advice); !other.empty())
    return worst + " and the " + other +
           " again: their errors partly cancel, and most of the doubt is their difference.";
  return worst + " again: " + percent(advice.shares.front().share) + " of the doubt comes from it.";
}

void warn_of_neighbours(const Advice& advice, Warnings& warnings) {
  if (advice.stacks.size() < 2) return;
  const Stack& first = advice.stacks[0];
  const Stack& second = advice.stacks[1];
  if (advice.stays) return;  // it is not chosen for being nearer
  // The second would be the better one were the best height off by one standard deviation.
  constexpr double one_deviation = 0.8413447460685429;
  if (!(advice.first_is_better < one_deviation)) return;
  const double sigma = advice.best_height_change_mm.sigma;
  const std::string text =
      "The best height is known to ± " + mm_words(sigma) + " only, the two best stacks differ by " +
      mm_words(std::abs(second.height_change_mm - first.height_change_mm), 2) +
      ": either may be the better one (the first with " + percent(advice.first_is_better) + ").";
  warnings.push_back(text + what_to_measure_again(advice));
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

// Else what lies in the box is ordered onto the stud.
void warn_of_all_on_stud(const Advice& advice, const RodEnd& rod_end, Warnings& warnings) {
  if (may_leave_spacers_over(rod_end) || advice.stack_now.other_side.empty()) return;
  warnings.push_back(
      "All spacers named are taken to be on the stud, " + mm_words(advice.stack_now.total_mm, 2) +
      " in all. If some lie in the box, say in the job, or with --other-side, which stand on the rod end's "
      "other side now.");
}

// New high-misalignment spacers come on top of what the nut clamps now.
void warn_of_new_necks(const Advice& advice, const RodEnd& rod_end, Warnings& warnings) {
  if (!rod_end.high_misalignment || rod_end.high_misalignment->on_car) return;
  const double thread_mm = advice.stacks.empty() ? std::numeric_limits<double>::quiet_NaN()
                                                 : advice.stacks.front().thread_beyond_nut_mm;
  warnings.push_back("The pair of high-misalignment spacers adds " +
                     mm_words(2.0 * rod_end.high_misalignment->thickness_mm, 2) + " on the stud: " +
                     (std::isfinite(thread_mm) ? mm_words(thread_mm) + " of thread stays beyond the locknut."
                                               : std::string("check that its thread is long enough.")));
}

// The favourable case must not pass for a measured one.
void warn_of_assumed_tilt(const Tilt& tilt, Warnings& warnings) {
  if (!(tilt.allowed_then_rad > 0.0) || !(tilt.stud_taken_as_upright || tilt.spacers_taken_as_narrow)) return;
  const std::string left =
      degree_words(std::max(0.0, tilt.allowed_then_rad - tilt.largest_then_rad), 1) + " deg";
  std::string text = "The rod end's tilt is worked out ";
  if (tilt.stud_taken_as_upright) text += "with its stud upright";
  if (tilt.stud_taken_as_upright && tilt.spacers_taken_as_narrow) text += " and ";
  if (tilt.spacers_taken_as_narrow) text += "with spacers no wider at the ball than the ball's face";
  text += ": " + left + " are left.";
  if (tilt.stud_taken_as_upright)
    text += " Each degree that the stud leans across the car may take one of them.";
  if (tilt.spacers_taken_as_narrow) text += " Wider spacers allow less, up to half: give their diameter.";
  warnings.push_back(text);
}

std::string tilted_words(double needed_rad, double travel_mm, double steer_rad, double allowed_rad) {
  std::string where = mm_words(std::abs(travel_mm), 0) + (travel_mm < 0.0 ? " of droop" : " of bump");
  if (steer_rad != 0.0)
    where += " with the wheel steered " + degree_words(std::abs(steer_rad), 0) + " deg " +
             (steer_rad > 0.0 ? "in" : "out");
  return where + " it must tilt " + degree_words(needed_rad, 1) + " deg, and " +
         degree_words(allowed_rad, 1) + " deg are allowed.";
}

void warn_of_tilt(const Advice& advice, const RodEnd& rod_end, Warnings& warnings) {
  const Tilt& tilt = advice.tilt;
  const double allowed = tilt.allowed_then_rad;
  if (!(allowed > 0.0)) return;
  const std::string then =
      tilted_words(tilt.largest_then_rad, tilt.largest_then_travel_mm, tilt.largest_then_steer_rad, allowed);
  const std::string beyond = tilted_words(tilt.largest_beyond_rad, tilt.largest_beyond_travel_mm,
                                          tilt.largest_beyond_steer_rad, allowed);
  std::string text;
  if (tilt.largest_then_rad > allowed)
    text = "The rod end binds: at " + then + " Do not drive it like that.";
  else if (tilt.largest_beyond_rad > allowed)
    text = "Beyond the travel asked for the rod end binds: at " + beyond +
           " Do not drive it unless something else stops the wheel before.";
  else if (allowed - tilt.largest_then_rad <= little_tilt_left_rad)
    text = "The rod end is near its limit: at " + then;
  else
    return;
  if (!rod_end.high_misalignment) text += " High-misalignment spacers let it tilt further.";
  warnings.push_back(text);
}

// Without a spacer the eye meets the arm, which is wider than the ball's face.
void warn_of_bare_contact(const Advice& advice, Warnings& warnings) {
  if (advice.stacks.empty() || !advice.worth_changing || !advice.stacks.front().between.empty()) return;
  warnings.push_back(
      "With no spacer between, the eye of the rod end faces the steering arm itself and tilts about half as "
      "far before it touches" +
      std::string(advice.tilt.allowed_then_rad > 0.0 ? ": the allowed tilt given here does not hold" : "") +
      ". Once they are out, move the wheel by hand through its whole travel and from lock to lock before it "
      "is driven: where anything touches, a narrow spacer belongs there after all.");
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

void warn_of_short_travel(const Travel& travel, Warnings& warnings) {
  constexpr double least_mm = 10.0;
  const auto too_small = [](double way_mm) { return way_mm > 0.0 && way_mm < 0.5 * least_mm; };
  if (travel.bump_mm + travel.droop_mm < least_mm)
    warnings.push_back("Bump and droop together are " + mm_words(travel.bump_mm + travel.droop_mm) +
                       " only, less than any wheel moves on the road: is their unit right?");
  else if (too_small(travel.bump_mm) || too_small(travel.droop_mm))
    warnings.push_back((too_small(travel.bump_mm) ? "Bump is " + mm_words(travel.bump_mm)
                                                  : "Droop is " + mm_words(travel.droop_mm)) +
                       " only, less than any wheel moves on the road: is its unit right?");
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
  else if (corner.covariance_mm2.diagonal().maxCoeff() < exact_mm * exact_mm)
    warnings.push_back(
        "The hardpoints are given as exact (sigma below 0.005 mm), so nothing is known of how sure the "
        "height is: give what they were really measured to.");
  else if (sigma_mm > near_enough_mm && !camber_weighs_most(advice))
    warnings.push_back(
        "The height is uncertain by ± " + mm_words(sigma_mm) + "; the " + worst_coordinate(advice) +
        (cancelled_by(advice).empty()
             ? " has the largest share in it (" + percent(advice.shares.front().share) +
                   "): measure that one better first."
             : " counts for most in it, but its error and that of the " + cancelled_by(advice) +
                   " partly cancel: measure better first how these two lie to each other."));
  if (advice.height_draws) warn_of_draws(*advice.height_draws, warnings);
}

constexpr double worth_another_link_mm = 1.0;

// What would cure a curve that bends the same way in bump and droop.
std::string another_link_words(const LinkFit& fit) {
  const double too_short = fit.ideal_link_length_mm - fit.link_length_mm;
  if (!fit.has_ideal_length || std::abs(too_short) < worth_another_link_mm) return {};
  const std::string size = mm_words(std::abs(too_short), 0);
  const bool longer = too_short > 0.0;
  return " The link is " + size + (longer ? " too short" : " too long") +
         " for its place: with the inner joint " + size + " further " + (longer ? "inboard" : "outboard") +
         " along the link, and a link " + (longer ? "longer" : "shorter") +
         " by as much, the curve would be flat near ride height.";
}

// What is best over the travel may be worse at ride height, where the usual check with one inch looks.
void warn_of_slope(const Advice& advice, Warnings& warnings) {
  if (!advice.worth_changing || advice.driving.aim == HeightAim::zero_slope) return;
  if (worse_than_now(advice)) return;  // nothing is traded, and that is said beside the order
  const ToeCurve& then = advice.stacks.empty() ? advice.best : advice.with_stack;
  const bool steeper =
      steeper_at_ride_height(then, advice.now) && is_flatter(then, advice.now, advice.driving);
  const double now_rad = std::abs(advice.now.slope_rad_mm) * mm_per_inch;
  const double then_rad = std::abs(then.slope_rad_mm) * mm_per_inch;
  const Uncertain& best = advice.best_height_change_mm;
  const AimedHeight* flat = height_of(advice, HeightAim::zero_slope);
  const auto known = [](const Uncertain& height_mm) { return std::abs(height_mm.value) > height_mm.sigma; };
  const bool apart =
      flat && flat->height_change_mm.value * best.value < 0.0 && known(best) && known(flat->height_change_mm);
  if (!(apart || steeper)) return;
  std::string text =
      steeper
          ? "At ride height this change makes the toe change larger: " + degree_words(then_rad) +
                " deg per inch instead of " + degree_words(now_rad) + "."
          : std::string(
                "What is best over the travel and what is best at ride height lie to either side of now.");
  if (flat)
    text += " For no toe change there the rod end must be " +
            mm_words(std::abs(flat->height_change_mm.value)) +
            (flat->height_change_mm.value < 0.0 ? " lower" : " higher") +
            " than now (ask for the aim zero-slope).";
  const bool told_later = advice.best.largest_change_rad > worth_a_warning_rad && mostly_curved(advice.best);
  warnings.push_back(text + " Spacers give one or the other." +
                     (told_later ? "" : another_link_words(advice.link_fit)));
}

}  // namespace

std::vector<std::string> warnings_of(const Advice& advice, const Corner& corner, const RodEnd& rod_end,
                                     const BestHeight& best) {
  Warnings warnings;
  warn_of_short_travel(advice.travel, warnings);
  warn_of_far_side(corner, warnings);
  for (const std::string& sentence : implausible(corner)) warnings.push_back(sentence);
  for (const std::string& sentence : implausible(rod_end)) warnings.push_back(sentence);
  warn_of_readings(advice, warnings);
  warn_of_tilt(advice, rod_end, warnings);
  warn_of_bare_contact(advice, warnings);
  warn_of_assumed_tilt(advice.tilt, warnings);
  if (!advice.now.ended_early.empty()) warnings.push_back(advice.now.ended_early);
  if (!best.found) return warnings;
  const auto warn_of_end = [&](const std::string& where, const ToeCurve& curve) {
    if (curve.ended_early.empty() || curve.ended_early == advice.now.ended_early) return;
    warnings.push_back(where + curve.ended_early);
  };
  if (advice.worth_changing) warn_of_end("With the stack named first: ", advice.with_stack);
  warn_of_end("At the best height: ", advice.best);
  if (std::abs(best.height_mm) > implausible_height_mm)
    warnings.push_back("A change of " + mm_words(std::abs(best.height_mm)) +
                       " is more than spacers usually cure: check the hardpoints.");
  warn_of_slope(advice, warnings);
  if (std::string words = out_of_reach_words(advice, rod_end); !words.empty())
    warnings.push_back(std::move(words));
  warn_of_new_necks(advice, rod_end, warnings);
  warn_of_thread(advice, rod_end, warnings);
  warn_of_all_on_stud(advice, rod_end, warnings);
  warn_of_neighbours(advice, warnings);
  if (const std::string words = camber_words(advice, corner.wheel); !words.empty()) warnings.push_back(words);
  warn_of_uncertainty(advice, corner, warnings);
  if (advice.best.largest_change_rad > worth_a_warning_rad)
    warnings.push_back(
        degree_words(advice.best.largest_change_rad) + " deg of toe change stay even at the best height" +
        (mostly_curved(advice.best) ? ", the same way in bump and in droop" : "") +
        ": that comes from the length of the steering link and the place of its inner joint, and no "
        "spacer cures it." +
        (mostly_curved(advice.best) ? another_link_words(advice.link_fit) : ""));
  return warnings;
}

}  // namespace pivotfix
