// SPDX-License-Identifier: Apache-2.0
// What to bolt on: how far arm and link are out of step, the rod-end height that makes the toe curve
// flattest, the nearest stack from the spacers that the user has, whether the rod end can tilt that far, what
// toe readings from an alignment rack say to it, and which hardpoint the answer hangs on most. Each figure
// with its standard uncertainty. `what_if.h` asks the same of a changed car.
#pragma once

#include <Eigen/Core>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "base/uncertain.h"
#include "corner/corner.h"
#include "corner/front_view.h"
#include "corner/link_fit.h"
#include "hardpoints/hardpoint_set.h"

namespace pivotfix {

// One toe curve with the figures people judge it by. Toe is relative to ride height here.
struct ToeCurve {
  std::string title{};             // "as it is", "best height", "chosen stack"
  double rod_end_height_mm = 0.0;  // change against now, up positive
  std::vector<double> travel_mm{};
  std::vector<double> toe_change_rad{};
  std::vector<double> toe_change_sigma_rad{};  // zeros when not known
  double slope_rad_mm = 0.0;                   // at ride height
  double largest_change_rad = 0.0;             // over the travel
  double one_inch_change_rad =
      0.0;  // from ride height to 25.4 mm of bump; by the slope where it locks before
  double link_length_change_mm = 0.0;  // against now, so that toe at ride height stays
  std::string ended_early{};
};

// Spacers in their order from the steering arm outwards, those with a thin neck included.
struct Stack {
  std::vector<Spacer> between{};     // from the steering arm towards the rod end
  std::vector<Spacer> other_side{};  // from the rod end outwards
  std::vector<Spacer> left_over{};   // not on the stud
  double between_mm = 0.0;
  double total_mm = 0.0;          // of all spacers on the stud
  double height_change_mm = 0.0;  // of the rod end against now, up positive
  double short_of_best_mm = 0.0;  // stack's height change minus the best one
  double thread_beyond_nut_mm = std::numeric_limits<double>::quiet_NaN();  // when the stud is not known
  double over_total_mm = 0.0;   // of the ordinary spacers on the stud beyond what was asked for
  double under_total_mm = 0.0;  // likewise below it
  double largest_change_rad = 0.0;
  double one_inch_change_rad = 0.0;
};

// What would reach the best height when the spacers at hand do not.
struct WantedPart {
  double between_mm = 0.0;  // ordinary spacers needed; below zero: nearer to the arm than bare contact
  double other_side_mm = 0.0;
  double short_by_mm = 0.0;  // of the first stack, always positive
  // What the link's inner end must move instead, up positive; NaN when its height does not change the slope.
  double inner_end_instead_mm = std::numeric_limits<double>::quiet_NaN();
  // Spacers that lie in the box would reach it, with `over_total_mm` more thread than is known to be there.
  std::optional<Stack> with_more_thread{};
  std::optional<Stack> with_lower_total{};  // would reach it with less on the stud than the maker wants
};

// A stack that is not ordered because with it the corner locks within the travel that is free today.
struct PassedOver {
  Stack stack{};
  Travel reach{};
};

// Why a stack that misses the best height is near enough all the same.
enum class NearEnough {
  no,
  within_doubt,  // what is missing lies within the height's uncertainty
  hardly_shows,  // it leaves of what the aim asks for no more than anyone reads
};

// Why what is on the stud now may not stay as it is.
enum class MustChange {
  no,
  high_misalignment,  // a pair of such spacers comes onto it
  total,              // all spacers on it do not add up to what the maker wants
  thread,             // too little is left beyond the locknut
};

// One answer to "flattest".
struct AimedHeight {
  HeightAim aim = HeightAim::least_squares;
  bool found = false;
  Uncertain height_change_mm{};
  double link_length_change_mm = 0.0;
  double largest_change_rad = 0.0;
  double one_inch_change_rad = 0.0;
};

// How the suggested height does in one way of driving, against that way's own best height.
struct DrivingResult {
  Driving driving{};
  double best_height_change_mm = 0.0;
  bool found = false;
  double largest_now_rad = 0.0;
  // As suggested: with the first stack, at the best height where there is none, or as it is where no change
  // is worth making.
  double largest_chosen_rad = 0.0;
  double largest_best_rad = 0.0;
};

// The rod end's tilt: angle between its housing's plane across the stud and the link.
struct Tilt {
  double largest_now_rad = 0.0;  // over the travel (and from lock to lock, when it is known), either way
  double largest_now_travel_mm = 0.0;
  double largest_now_steer_rad = 0.0;  // change of toe there
  double largest_then_rad = 0.0;       // as suggested: see DrivingResult
  double largest_then_travel_mm = 0.0;
  double largest_then_steer_rad = 0.0;
  // As then, over two inches either way where less was asked for: the wheel goes there all the same.
  double largest_beyond_rad = 0.0;
  double largest_beyond_travel_mm = 0.0;
  double largest_beyond_steer_rad = 0.0;
  double allowed_plain_rad = 0.0;              // with ordinary spacers; zero when not known
  double allowed_high_misalignment_rad = 0.0;  // with thin-necked spacers
  double allowed_now_rad = 0.0;                // as it is spaced now
  double allowed_then_rad = 0.0;               // as it will be
  bool stud_taken_as_upright = false;    // a lean across the car would add to the tilt, degree by degree
  bool spacers_taken_as_narrow = false;  // at the ball; wider ones would allow less
};

// Share of one coordinate in the best height's variance; all shares and that of a camber that is not known
// exactly sum to one. A coordinate whose error runs against that of others may have a negative one.
struct HeightShare {
  std::size_t point = 0;  // in the order of hardpoint_names
  int coordinate = 0;     // 0 x, 1 y, 2 z
  std::string words{};    // "height of the inner joint of the steering link"
  double mm_per_mm = 0.0;
  double sigma_mm = 0.0;  // of the coordinate
  double share = 0.0;
};

// The best height by draws from the points' covariance alone, where derivatives do not tell its uncertainty
// well.
struct HeightDraws {
  int draws = 0;
  int without_height = 0;  // of these: the corner cannot move so, or no height cures it
  double sigma_mm = 0.0;   // about the best height
  double low_mm = 0.0;     // 95 % of the heights lie between these
  double high_mm = 0.0;
};

// A toe reading beside what the hardpoints predict; changes from ride height, the readings' common offset
// taken out.
struct ReadingCheck {
  ToeReading reading{};
  double measured_change_rad = 0.0;
  double measured_sigma_rad = 0.0;  // of the reading, the setting of the travel included
  Uncertain predicted_change_rad{};
  Uncertain refined_change_rad{};  // from hardpoints and readings together
};

struct Verification {
  std::vector<ReadingCheck> readings{};
  double chi_square = 0.0;
  int degrees_of_freedom = 0;
  double probability = 1.0;  // of a chi square this large or larger when all uncertainties are right
  bool consistent = false;   // probability above one in a hundred
  // False without uncertainties of the hardpoints, when not consistent, or with readings only to be compared.
  bool refined = false;
  Uncertain height_before_mm{};
  Uncertain height_refined_mm{};
};

struct Advice {
  Side side = Side::left;
  Layout layout = Layout::strut;
  Travel travel{};
  Driving driving{};
  bool found = true;  // false: the rod end's height does not cure it
  Uncertain arm_angle_rad{};
  Uncertain link_angle_rad{};
  Uncertain mismatch_rad{};
  Uncertain effective_mismatch_rad{};
  FrontView front_view{};
  SteeringAxis steering_axis{};
  Uncertain link_line_above_instant_centre_mm{};
  LinkFit link_fit{};
  Uncertain link_too_short_mm{};  // ideal less actual length; zero where no length is ideal
  ToeCurve now{};
  ToeCurve best{};                            // at best_height_change_mm
  ToeCurve parallel_link{};                   // rule of thumb: link parallel to the arm; empty when too far
  Uncertain best_height_change_mm{};          // after the driving's aim; up positive
  double height_sigma_by_camber_mm = 0.0;     // in its uncertainty: what camber's own makes of it
  std::optional<HeightDraws> height_draws{};  // its uncertainty comes from them when they are there
  std::vector<AimedHeight> heights{};         // every aim
  std::vector<DrivingResult> drivings{};      // the user's first, then the known ones
  Stack stack_now{};
  MustChange must_change = MustChange::no;
  std::vector<Stack> stacks{};  // best first; empty when the user named no spacers
  bool reached = true;          // false: every stack misses the best height by more than half a millimetre
  // The first stack leaves the rod end where it is: one that is nearer would bring nothing that shows.
  bool stays = false;
  // False: the rod end stands at its best height within its uncertainty, or the change, by the stack where
  // there is one, would alter toe by less than anyone reads.
  bool worth_changing = true;
  NearEnough near_enough = NearEnough::no;  // when not reached
  WantedPart wanted_part{};                 // likewise
  // Probability that the first stack is better than the second; not where it `stays`.
  double first_is_better = 1.0;
  // What would stand first among `stacks`; none of those locks earlier than today then.
  std::optional<PassedOver> passed_over{};
  ToeCurve with_stack{};  // curve of stacks.front(); empty when there is none
  Tilt tilt{};
  std::vector<HeightShare> shares{};           // largest first; empty without uncertainties
  std::optional<Verification> verification{};  // when there are readings
  std::vector<std::string> sentences{};        // the answer in words, most important first
  std::vector<std::string> warnings{};         // what limits it
};

struct AdviceQuestion {
  HardpointSet hardpoints{};
  RodEnd rod_end{};
  Driving driving{};
  std::vector<ToeReading> readings{};
};

// Throws Problem(refused) when the corner cannot be solved.
Advice advise(const AdviceQuestion& question);

// The question with its readings worked into the hardpoints; unchanged where that is not possible.
AdviceQuestion with_readings_used(const AdviceQuestion& question);

}  // namespace pivotfix
