// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <iterator>
#include <optional>
#include <utility>

#include "advice/advice.h"
#include "advice/camber_words.h"
#include "advice/free_travel.h"
#include "advice/height.h"
#include "advice/height_search.h"
#include "advice/judgement.h"
#include "advice/sampled_height.h"
#include "advice/shares.h"
#include "advice/spacer_kinds.h"
#include "advice/stack.h"
#include "advice/stack_choice.h"
#include "advice/tilt.h"
#include "advice/verify.h"
#include "advice/what_if.h"
#include "advice/wording.h"
#include "base/problem.h"
#include "base/units.h"
#include "corner/camber.h"

namespace pivotfix {
namespace {

Uncertain uncertain(double value, const Eigen::VectorXd& slopes, const Eigen::MatrixXd& covariance) {
  return {value, sigma_of(slopes, covariance)};
}

void add_in_quadrature(Uncertain& figure, double sigma) {
  figure.sigma = std::hypot(figure.sigma, sigma);
}

void add_front_view(const Corner& corner, Advice& advice) {
  advice.front_view = front_view(corner);
  advice.steering_axis = steering_axis(corner);
  const FrontViewDerivatives slopes = front_view_derivatives(corner);
  const Eigen::MatrixXd& covariance = corner.covariance_mm2;
  const FrontView& view = advice.front_view;
  advice.arm_angle_rad = uncertain(view.arm_angle_rad, slopes.arm_angle, covariance);
  advice.link_angle_rad = uncertain(view.link_angle_rad, slopes.link_angle, covariance);
  advice.mismatch_rad = uncertain(view.mismatch_rad, slopes.link_angle - slopes.arm_angle, covariance);
  advice.effective_mismatch_rad =
      uncertain(view.effective_mismatch_rad, slopes.effective_mismatch, covariance);
  advice.link_line_above_instant_centre_mm =
      uncertain(view.link_line_above_instant_centre_mm, slopes.link_line_above_instant_centre, covariance);
  add_in_quadrature(advice.effective_mismatch_rad, sigma_by_camber(corner, [](const Corner& other) {
                      return front_view(other).effective_mismatch_rad;
                    }));
  add_in_quadrature(advice.link_line_above_instant_centre_mm,
                    sigma_by_camber(corner, [](const Corner& other) {
                      return front_view(other).link_line_above_instant_centre_mm;
                    }));
}

void add_link_fit(const Corner& corner, Advice& advice) {
  advice.link_fit = link_fit(corner);
  if (!advice.link_fit.has_ideal_length) return;
  const LinkFitDerivatives slopes = link_fit_derivatives(corner);
  advice.link_too_short_mm = uncertain(advice.link_fit.ideal_link_length_mm - advice.link_fit.link_length_mm,
                                       slopes.ideal_link_length - slopes.link_length, corner.covariance_mm2);
  add_in_quadrature(advice.link_too_short_mm, sigma_by_camber(corner, [](const Corner& other) {
                      return link_fit(other).ideal_link_length_mm;
                    }));
}

double largest_change_rad(const Corner& corner, double height_mm, const Travel& travel) {
  const Curve curve = solve_curve(with_rod_end_height(corner, height_mm), travel, sample_mm);
  double largest = 0.0;
  for (const CornerState& state : curve.states)
    largest = std::max(largest, std::abs(state.toe_rad - corner.wheel.toe_rad));
  return largest;
}

void add_heights(const Corner& corner, const Driving& driving, const BestHeight& best, Advice& advice) {
  for (const HeightAim aim : {HeightAim::least_squares, HeightAim::smallest_peak, HeightAim::zero_slope}) {
    Driving aimed = driving;
    aimed.aim = aim;
    const bool own = aim == driving.aim;
    BestHeight height = own ? best : best_height(corner, aimed);
    if (!own) height.sigma_mm = std::hypot(height.sigma_mm, height_sigma_by_camber_mm(corner, aimed, height));
    AimedHeight result{aim, height.found, {height.height_mm, height.sigma_mm}, 0.0, 0.0, 0.0};
    if (height.found) {
      const ToeCurve curve = toe_curve("", without_covariance(corner), height.height_mm, advice.travel);
      result.link_length_change_mm = curve.link_length_change_mm;
      result.largest_change_rad = curve.largest_change_rad;
      result.one_inch_change_rad = curve.one_inch_change_rad;
    }
    advice.heights.push_back(result);
  }
}

// As the points' shares sum to one, and camber has its own.
void add_shares(const Corner& corner, const BestHeight& best, Advice& advice) {
  advice.shares = height_shares(corner, best);
  const double of_points = 1.0 - camber_share(advice);
  for (HeightShare& share : advice.shares) {
    share.share *= of_points;
    if (advice.side == Side::right && share.coordinate == 1) share.mm_per_mm *= -1.0;
  }
}

// By how much the aim's figure grows for each millimetre towards a height so far below or above the best one.
// Squares and the slope's size grow alike on both sides, the largest toe change does not.
double steepness(const Corner& corner, const Driving& driving, double best_mm, double off_mm) {
  constexpr double least_mm = 0.1;
  if (driving.aim != HeightAim::smallest_peak) return 1.0;
  const double to_mm = std::copysign(std::max(std::abs(off_mm), least_mm), off_mm);
  return (weighted_peak_rad(corner, best_mm + to_mm, driving) - weighted_peak_rad(corner, best_mm, driving)) /
         std::abs(to_mm);
}

// The best height for which both stacks would be equally good: the lower one lies below it, the higher one
// above it.
double equally_good_height_mm(const Corner& corner, const Driving& driving, const Advice& advice) {
  const auto [low_mm, high_mm] =
      std::minmax({advice.stacks[0].height_change_mm, advice.stacks[1].height_change_mm});
  const double best_mm = advice.best_height_change_mm.value;
  const double below = steepness(corner, driving, best_mm, -std::abs(low_mm - best_mm));
  const double above = steepness(corner, driving, best_mm, std::abs(high_mm - best_mm));
  if (!(below > 0.0 && above > 0.0)) return 0.5 * (low_mm + high_mm);
  return (below * low_mm + above * high_mm) / (below + above);
}

// Probability that the best height lies on the first one's side of that height.
double first_is_better(const Corner& corner, const Driving& driving, const Advice& advice) {
  const double sigma_mm = advice.best_height_change_mm.sigma;
  if (advice.stacks.size() < 2 || !(sigma_mm > 0.0)) return 1.0;
  const double distance_mm =
      std::abs(equally_good_height_mm(corner, driving, advice) - advice.best_height_change_mm.value);
  return 0.5 * std::erfc(-distance_mm / (std::sqrt(2.0) * sigma_mm));
}

// The nearest stack is not the one with the smallest peak where the peak grows faster on its side.
void sort_by_peak(const Corner& corner, const Driving& driving, std::vector<Stack>& stacks) {
  std::vector<std::pair<double, Stack>> by_peak;
  for (Stack& stack : stacks)
    by_peak.emplace_back(weighted_peak_rad(corner, stack.height_change_mm, driving), std::move(stack));
  std::stable_sort(by_peak.begin(), by_peak.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  for (std::size_t i = 0; i < stacks.size(); ++i) stacks[i] = std::move(by_peak[i].second);
}

// By how much the link's inner end must move to change the slope as the outer end would by moving so far.
double inner_end_instead_mm(const Corner& corner, double outer_end_mm) {
  const Eigen::VectorXd slope = link_fit_derivatives(corner).toe_slope;
  const auto& names = hardpoint_names(corner.layout);
  const auto inner =
      3 * std::distance(names.begin(), std::find(names.begin(), names.end(), "link_inner_joint"));
  const double by_outer = slope.segment<3>(outer_joint_coordinate(corner)).dot(corner.stud_axis_vehicle);
  return outer_end_mm * by_outer / slope[inner + 2];
}

// Steering that locks is dangerous: where the first stack would make the corner lock within the travel that
// is free today, only stacks that do not are left. Today's is one of them.
void pass_over_what_locks(const Corner& corner, const Driving& driving, const RodEnd& rod_end,
                          Advice& advice) {
  constexpr std::size_t looked_at = 60;
  if (advice.stacks.empty()) return;
  const auto reach = [&](const Stack& stack) {
    return reach_at(corner, stack.height_change_mm, advice.travel);
  };
  const Travel today = reach_of(advice.now);
  const PassedOver first{advice.stacks.front(), reach(advice.stacks.front())};
  if (!locks_before(first.reach, today)) return;
  std::vector<Stack> free =
      nearest_stacks(rod_end, advice.best_height_change_mm.value, looked_at, stacks_apart_mm);
  std::erase_if(free, [&](const Stack& stack) { return locks_before(reach(stack), today); });
  if (free.empty()) return;
  if (driving.aim == HeightAim::smallest_peak) sort_by_peak(corner, driving, free);
  if (free.size() > stacks_listed) free.erase(free.begin() + stacks_listed, free.end());
  advice.stacks = std::move(free);
  advice.passed_over = first;
}

void add_stacks(const Corner& corner, const Driving& driving, const RodEnd& rod_end, Advice& advice) {
  const double best_mm = advice.best_height_change_mm.value;
  WantedPart wanted = wanted_part(rod_end, best_mm);
  advice.stacks = stacks_for(rod_end, best_mm, wanted);
  if (driving.aim == HeightAim::smallest_peak) sort_by_peak(corner, driving, advice.stacks);
  pass_over_what_locks(corner, driving, rod_end, advice);
  for (Stack& stack : advice.stacks) {
    const bool first = &stack == &advice.stacks.front();
    const ToeCurve curve = toe_curve("chosen stack", first ? corner : without_covariance(corner),
                                     stack.height_change_mm, advice.travel);
    stack.largest_change_rad = curve.largest_change_rad;
    stack.one_inch_change_rad = curve.one_inch_change_rad;
    if (first) advice.with_stack = curve;
  }
  advice.first_is_better = first_is_better(corner, driving, advice);
  if (kinds_of(rod_end).empty()) return;
  advice.reached = reaches(advice.stacks);
  if (!advice.stacks.empty()) wanted.short_by_mm = std::abs(advice.stacks.front().short_of_best_mm);
  if (wanted.between_mm < 0.0)
    wanted.inner_end_instead_mm = inner_end_instead_mm(
        corner, rod_end.mount == RodEndMount::below_arm ? -wanted.between_mm : wanted.between_mm);
  advice.wanted_part = wanted;
  if (!advice.reached && !advice.stacks.empty()) advice.near_enough = how_near_enough(advice);
}

// What is on the stud stays where it may and the first stack brings nothing that shows.
void keep_what_helps_as_much(const RodEnd& rod_end, Advice& advice) {
  if (!advice.worth_changing || advice.stacks.empty() || first_stack_helps(advice)) return;
  if (std::abs(advice.stacks.front().height_change_mm) < grid_mm) return;
  std::optional<Stack> staying = stack_that_may_stay(advice, rod_end);
  if (!staying) return;
  const bool enough = advice.reached || advice.near_enough != NearEnough::no;
  if (enough && advice.must_change == MustChange::no) {
    advice.worth_changing = false;
    return;
  }
  staying->largest_change_rad = advice.now.largest_change_rad;
  staying->one_inch_change_rad = advice.now.one_inch_change_rad;
  std::erase_if(advice.stacks, [&](const Stack& stack) {
    return std::abs(stack.height_change_mm - staying->height_change_mm) < stacks_apart_mm;
  });
  advice.stacks.insert(advice.stacks.begin(), *std::move(staying));
  advice.stays = true;
  advice.with_stack = advice.now;
  advice.with_stack.title = "chosen stack";
  advice.wanted_part.short_by_mm = std::abs(advice.stacks.front().short_of_best_mm);
  if (!advice.reached) advice.near_enough = how_near_enough(advice);
}

// Of the rod end by what the answer says to do.
double suggested_height_change_mm(const Advice& advice) {
  if (!advice.found || !advice.worth_changing) return 0.0;
  return advice.stacks.empty() ? advice.best_height_change_mm.value : advice.stacks.front().height_change_mm;
}

void add_drivings(const Corner& corner, double chosen_mm, Advice& advice) {
  std::vector<Driving> drivings{advice.driving};
  for (const Driving& known : known_drivings())
    if (known.name != advice.driving.name) drivings.push_back(known);
  for (const Driving& driving : drivings) {
    DrivingResult result;
    result.driving = driving;
    const bool own = &driving == &drivings.front();
    BestHeight best;
    best.found = advice.found;
    best.height_mm = advice.best_height_change_mm.value;
    if (!own) best = best_height(without_covariance(corner), driving);
    result.found = best.found;
    result.best_height_change_mm = best.height_mm;
    result.largest_now_rad = largest_change_rad(corner, 0.0, driving.travel);
    result.largest_chosen_rad = largest_change_rad(corner, chosen_mm, driving.travel);
    result.largest_best_rad =
        best.found ? largest_change_rad(corner, best.height_mm, driving.travel) : result.largest_now_rad;
    advice.drivings.push_back(result);
  }
}

void check(const AdviceQuestion& question) {
  const Travel& travel = question.driving.travel;
  if (!(travel.bump_mm + travel.droop_mm >= 1.0))
    throw Problem(ProblemKind::input, "Bump and droop together must be at least 1 mm.",
                  "Correct the travel.");
  check_rod_end(question.rod_end);
}

Corner corner_of(const AdviceQuestion& question) {
  HardpointSet complete = question.hardpoints;
  complete.rod_end = question.rod_end;
  return make_corner(complete);
}

// Where the corner locks before the end of the travel, only what it can do counts.
Driving possible_driving(const ToeCurve& now, Driving driving) {
  driving.travel = {now.travel_mm.back(), -now.travel_mm.front()};
  return driving;
}

}  // namespace

Advice advise(const AdviceQuestion& question) {
  check(question);
  Corner corner = corner_of(question);
  Advice advice;
  advice.side = question.hardpoints.side;
  advice.layout = question.hardpoints.layout;
  advice.driving = question.driving;
  advice.travel = question.driving.travel;
  advice.now = toe_curve("as it is", corner, 0.0, advice.travel);
  Driving possible = possible_driving(advice.now, question.driving);
  if (!question.readings.empty()) {
    VerifiedCorner verified = verify(corner, possible, question.readings);
    corner = std::move(verified.corner);
    advice.verification = std::move(verified.verification);
    advice.now = toe_curve("as it is", corner, 0.0, advice.travel);
    possible = possible_driving(advice.now, question.driving);
  }
  add_front_view(corner, advice);
  add_link_fit(corner, advice);

  const BestHeight best = best_height(corner, possible);
  advice.found = best.found;
  advice.best_height_change_mm = {best.height_mm, best.sigma_mm};
  if (!derivatives_suffice(corner, possible, best)) {
    advice.height_draws = draw_heights(corner, possible, best);
    advice.best_height_change_mm.sigma = advice.height_draws->sigma_mm;
  }
  advice.height_sigma_by_camber_mm = height_sigma_by_camber_mm(corner, possible, best);
  add_in_quadrature(advice.best_height_change_mm, advice.height_sigma_by_camber_mm);
  advice.best = toe_curve("best height", corner, best.height_mm, advice.travel);
  if (const std::optional<double> parallel_mm = parallel_link_height_mm(corner))
    advice.parallel_link =
        toe_curve("link parallel to the arm", without_covariance(corner), *parallel_mm, advice.travel);
  BestHeight told = best;
  told.sigma_mm = advice.best_height_change_mm.sigma;
  add_heights(corner, possible, told, advice);
  advice.stack_now = stack_now(question.rod_end);
  advice.must_change = why_it_must_change(question.rod_end);
  if (best.found) {
    add_stacks(corner, possible, question.rod_end, advice);
    advice.worth_changing = worth_changing(advice, question.rod_end);
    keep_what_helps_as_much(question.rod_end, advice);
    add_shares(corner, best, advice);
  }
  const double suggested_mm = suggested_height_change_mm(advice);
  add_drivings(corner, suggested_mm, advice);
  advice.tilt = tilt_over(corner, question.rod_end, suggested_mm, possible.travel);
  advice.sentences = sentences_of(advice, corner, best);
  advice.warnings = warnings_of(advice, corner, question.rod_end, best);
  return advice;
}

AdviceQuestion with_readings_used(const AdviceQuestion& question) {
  if (question.readings.empty()) return question;
  check(question);
  const Corner corner = corner_of(question);
  const ToeCurve now = toe_curve("", without_covariance(corner), 0.0, question.driving.travel);
  AdviceQuestion used = question;
  used.readings.clear();
  const VerifiedCorner verified = verify(corner, possible_driving(now, question.driving), question.readings);
  used.hardpoints = with_corner(question.hardpoints, verified.corner);
  return used;
}

}  // namespace pivotfix
