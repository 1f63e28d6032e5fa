// SPDX-License-Identifier: Apache-2.0
#include "report/figure_tables.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "page/numbers.h"

namespace pivotfix::report {
namespace {

constexpr const char* degree = "\xC2\xB0";
constexpr double no_number = std::numeric_limits<double>::quiet_NaN();

bool goes_far(Figure figure) {
  return figure == Figure::instant_centre_y || figure == Figure::instant_centre_z ||
         figure == Figure::swing_arm_length;
}

int decimals_of(Shown shown, LengthUnit unit) {
  switch (shown) {
    case Shown::degrees:
    case Shown::degrees_per_inch:
    case Shown::rim_inches:
      return 3;
    case Shown::rim_mm:
      return 2;
    case Shown::length:
    case Shown::twice_length:
      break;
  }
  return decimals_in(unit, 1);
}

// What one unit of the figure inside is on paper.
double factor_of(Shown shown, LengthUnit unit) {
  switch (shown) {
    case Shown::degrees:
      return 1.0 / rad_per_deg;
    case Shown::degrees_per_inch:
      return mm_per_inch / rad_per_deg;
    case Shown::rim_mm:
      return 1.0;
    case Shown::rim_inches:
      return 1.0 / mm_per_inch;
    case Shown::length:
      return 1.0 / mm_per(unit);
    case Shown::twice_length:
      break;
  }
  return 2.0 / mm_per(unit);
}

bool at_rim(Shown shown) {
  return shown == Shown::rim_mm || shown == Shown::rim_inches;
}

// Rows for the states that are worth one, bump first like the other tables.
std::vector<const FiguresAt*> tabled_states(const FigureCurve& curve, LengthUnit unit) {
  std::vector<const FiguresAt*> states;
  if (curve.states.empty()) return states;
  for (const double travel_mm :
       tabled_travel_mm(curve.states.front().travel_mm, curve.states.back().travel_mm, unit))
    for (const FiguresAt& state : curve.states)
      if (std::abs(state.travel_mm - travel_mm) < 1e-6) states.push_back(&state);
  return states;
}

FigureTable over_travel(const FigureGroup& group, const FigureCurve& curve, double rim_mm, LengthUnit unit) {
  FigureTable table;
  table.caption = group.caption;
  table.heads = {travel_head(unit)};
  for (const FigureColumn& column : group.columns) {
    if (at_rim(column.shown) && !(rim_mm > 0.0)) continue;
    table.heads.push_back(column.head);
  }
  if (group.columns.back().shown == Shown::length || group.columns.back().shown == Shown::twice_length)
    table.caption += ", " + std::string(name_of(unit));
  for (const FiguresAt* at : tabled_states(curve, unit)) {
    std::vector<std::string> row{travel_text(at->travel_mm, unit)};
    for (const FigureColumn& column : group.columns) {
      if (at_rim(column.shown) && !(rim_mm > 0.0)) continue;
      row.push_back(
          column_text(shown_value(*at, column, rim_mm, unit), 0.0, decimals_of(column.shown, unit)));
    }
    table.rows.push_back(row);
  }
  return table;
}

// Zero stands in for toe and camber that nobody entered.
bool is_known(Figure figure, const WheelSetting& wheel) {
  if (figure == Figure::toe) return wheel.toe_is_known;
  return figure != Figure::camber || wheel.camber_is_known;
}

FigureTable at_ride_height(const CornerFigures& figures, const WheelSetting& wheel, LengthUnit unit) {
  const double rim_mm = wheel.rim_diameter_mm;
  FigureTable table{"At ride height", {"", "", "positive when"}, {}, false};
  const FiguresAt* at = figures.straight_ahead.at_ride_height();
  if (!at) return table;
  const FigureColumn swing_arm{"", "", Figure::swing_arm_length, Shown::length};
  const bool centre_is_far = is_far_away(shown_value(*at, swing_arm, rim_mm, LengthUnit::millimetre),
                                         shown_sigma(*at, swing_arm, rim_mm, LengthUnit::millimetre));
  const auto row = [&](const std::string& name, Figure figure, Shown shown, int decimals,
                       const std::string& positive) {
    const FigureColumn column{"", "", figure, shown};
    const double value = shown_value(*at, column, rim_mm, unit);
    const double sigma = shown_sigma(*at, column, rim_mm, unit);
    const std::string number = value_text(value, sigma, decimals);
    const std::string after = shown == Shown::length ? " " + std::string(name_of(unit)) : degree;
    const bool far = !std::isfinite(value) || (goes_far(figure) && centre_is_far);
    const bool known = is_known(figure, wheel);
    table.rows.push_back({name, !known ? not_known : far ? "far away" : number + after, positive});
  };
  const int length_decimals = decimals_of(Shown::length, unit);
  row("toe", Figure::toe, Shown::degrees, 2, "front points inboard: toe-in");
  if (rim_mm > 0.0) {
    const double toe_mm = toe_at_rim_mm(at->figures[Figure::toe], rim_mm);
    table.rows.push_back({"toe over " + length_text(rim_mm, 0.0, unit, 1) + " of rim",
                          wheel.toe_is_known ? format_length(toe_mm, LengthUnit::millimetre, 2) + ", " +
                                                   format_length(toe_mm, LengthUnit::inch, 3)
                                             : not_known,
                          ""});
  }
  row("toe per inch of bump", Figure::toe_per_travel, Shown::degrees_per_inch, 3, "it toes in going up");
  row("camber", Figure::camber, Shown::degrees, 2, "its top leans outboard");
  row("camber per inch of bump", Figure::camber_per_travel, Shown::degrees_per_inch, 3, "");
  row("caster", Figure::caster, Shown::degrees, 2, "the axis' top is rearward");
  row("steering-axis inclination", Figure::inclination, Shown::degrees, 2, "the axis' top is inboard");
  row("scrub radius", Figure::scrub_radius, Shown::length, length_decimals, "axis inboard of tyre on ground");
  row("trail", Figure::trail, Shown::length, length_decimals, "axis ahead of tyre on ground");
  row("tyre's instant centre, out", Figure::instant_centre_y, Shown::length, length_decimals,
      "outboard of the car's middle");
  row("tyre's instant centre, up", Figure::instant_centre_z, Shown::length, length_decimals,
      "above the ground");
  row("swing arm", Figure::swing_arm_length, Shown::length, length_decimals,
      "that centre inboard of the tyre");
  row("roll centre, height", Figure::roll_centre_height, Shown::length, length_decimals, "above the ground");
  return table;
}

std::string rack_words(double rack_mm, LengthUnit unit) {
  if (rack_mm == 0.0) return "straight ahead";
  return "rack " + length_text(std::abs(rack_mm), 0.0, unit, 1) + (rack_mm > 0.0 ? " left" : " right");
}

std::string degrees_text(double angle_rad, int decimals) {
  return column_text(deg_from_rad(angle_rad), 0.0, decimals);
}

// Toe against ride height with the rack at the same place, so that curves can be compared.
FigureTable toe_with_rack_held(const CornerFigures& figures, LengthUnit unit) {
  FigureTable table;
  table.caption = std::string("Toe change from ride height with the rack held aside, ") + degree;
  table.heads = {travel_head(unit)};
  std::vector<const FigureCurve*> curves{&figures.straight_ahead};
  for (const FigureCurve& curve : figures.rack_held) curves.push_back(&curve);
  std::vector<std::string> at_ride{"toe at ride"};
  for (const FigureCurve* curve : curves) {
    const FiguresAt* ride = curve->at_ride_height();
    table.heads.push_back(rack_words(curve->rack_mm, unit));
    at_ride.push_back(ride ? degrees_text(ride->figures[Figure::toe], 3) : not_known);
  }
  for (const FiguresAt* at : tabled_states(figures.straight_ahead, unit)) {
    std::vector<std::string> row{travel_text(at->travel_mm, unit)};
    for (const FigureCurve* curve : curves) {
      const auto found =
          std::find_if(curve->states.begin(), curve->states.end(),
                       [&](const FiguresAt& state) { return state.travel_mm == at->travel_mm; });
      const FiguresAt* ride = curve->at_ride_height();
      row.push_back(found == curve->states.end() || !ride
                        ? not_known
                        : degrees_text(found->figures[Figure::toe] - ride->figures[Figure::toe], 3));
    }
    table.rows.push_back(row);
  }
  table.rows.push_back(at_ride);
  return table;
}

FigureTable roll_table(const RollCurve& curve, LengthUnit unit) {
  FigureTable table;
  table.caption = std::string("Body roll: travel, ") + std::string(name_of(unit)) +
                  ", and steer against the body, " + degree;
  table.heads = {std::string("roll, ") + degree,
                 "left travel",
                 "right travel",
                 "left steer",
                 "right steer",
                 "mean steer"};
  for (const RollState& state : curve.states)
    table.rows.push_back(
        {degrees_text(state.roll_rad, 1),
         column_text(state.left_travel_mm / mm_per(unit), 0.0, decimals_of(Shown::length, unit)),
         column_text(state.right_travel_mm / mm_per(unit), 0.0, decimals_of(Shown::length, unit)),
         degrees_text(state.left_steer_rad, 3), degrees_text(state.right_steer_rad, 3),
         degrees_text(0.5 * (state.left_steer_rad + state.right_steer_rad), 3)});
  return table;
}

FigureTable steer_table(const SteerCurve& curve, LengthUnit unit) {
  FigureTable table;
  table.caption = std::string("Steering at ride height, ") + degree;
  const bool with_ideal = !curve.states.empty() && curve.states.front().ideal_difference_rad;
  if (with_ideal) table.caption += "; Ackermann's by the distance of the steering axes at the ground";
  table.heads = {"rack to the left, " + std::string(name_of(unit)), "left wheel", "right wheel",
                 "inner - outer", "Ackermann"};
  for (const SteerState& state : curve.states)
    table.rows.push_back(
        {column_text(state.rack_mm / mm_per(unit), 0.0, decimals_of(Shown::length, unit)),
         degrees_text(state.left_steer_rad, 2), degrees_text(state.right_steer_rad, 2),
         degrees_text(state.ackermann_difference_rad, 2),
         state.ideal_difference_rad ? degrees_text(*state.ideal_difference_rad, 2) : not_known});
  return table;
}

std::string roll_steer_words(double roll_steer) {
  const std::string size = format_fixed(std::abs(roll_steer), 3);
  const std::string text =
      "Roll steer at ride height: " + format_fixed(roll_steer, 3) + degree + " of steer per degree of roll";
  if (std::abs(roll_steer) < 5e-4) return text + ".";
  return text + (roll_steer < 0.0 ? ", which understeers." : ", which oversteers.");
}

std::string not_entered_note(const WheelSetting& wheel) {
  if (wheel.toe_is_known && wheel.camber_is_known) return {};
  const char* what = wheel.toe_is_known ? "Camber" : wheel.camber_is_known ? "Toe" : "Toe and camber";
  const bool both = !wheel.toe_is_known && !wheel.camber_is_known;
  return std::string(what) + " at ride height " + (both ? "were" : "was") +
         " not entered: " + (both ? "their" : "its") + " columns over travel count from 0.";
}

}  // namespace

const std::vector<FigureGroup>& figure_groups() {
  static const std::vector<FigureGroup> groups{
      {"Toe and camber over travel, \xC2\xB0; toe also over the rim, mm and in, and per inch of travel",
       {{"toe", "toe_deg", Figure::toe, Shown::degrees},
        {"toe, mm", "toe_at_rim_mm", Figure::toe, Shown::rim_mm},
        {"toe, in", "toe_at_rim_in", Figure::toe, Shown::rim_inches},
        {"toe per in", "toe_deg_per_in", Figure::toe_per_travel, Shown::degrees_per_inch},
        {"camber", "camber_deg", Figure::camber, Shown::degrees},
        {"camber per in", "camber_deg_per_in", Figure::camber_per_travel, Shown::degrees_per_inch}}},
      {"Steering axis over travel: angles, \xC2\xB0; scrub radius and trail",
       {{"caster", "caster_deg", Figure::caster, Shown::degrees},
        {"inclination", "inclination_deg", Figure::inclination, Shown::degrees},
        {"scrub radius", "scrub_radius_mm", Figure::scrub_radius, Shown::length},
        {"trail", "trail_mm", Figure::trail, Shown::length}}},
      {"Motion of the tyre's contact point from ride height, and of the track when both wheels do it",
       {{"forward", "contact_forward_mm", Figure::contact_forward, Shown::length},
        {"outward", "contact_outward_mm", Figure::contact_outward, Shown::length},
        {"upward", "contact_upward_mm", Figure::contact_upward, Shown::length},
        {"track", "track_change_mm", Figure::contact_outward, Shown::twice_length}}},
      {"Tyre's instant centre, outboard of the car's middle, and swing arm; heights of that centre and of "
       "the roll centre above the ground under the tyre",
       {{"outboard", "instant_centre_outboard_mm", Figure::instant_centre_y, Shown::length},
        {"height", "instant_centre_height_mm", Figure::instant_centre_z, Shown::length},
        {"swing arm", "swing_arm_mm", Figure::swing_arm_length, Shown::length},
        {"roll centre", "roll_centre_height_mm", Figure::roll_centre_height, Shown::length}}}};
  return groups;
}

double shown_value(const FiguresAt& at, const FigureColumn& column, double rim_diameter_mm, LengthUnit unit) {
  if (at.figures.instant_centre_far && goes_far(column.figure)) return no_number;
  const double value = at.figures[column.figure];
  return factor_of(column.shown, unit) *
         (at_rim(column.shown) ? toe_at_rim_mm(value, rim_diameter_mm) : value);
}

double shown_sigma(const FiguresAt& at, const FigureColumn& column, double rim_diameter_mm, LengthUnit unit) {
  if (at.figures.instant_centre_far && goes_far(column.figure)) return no_number;
  const double by_rim = at_rim(column.shown) ? rim_diameter_mm * std::cos(at.figures[column.figure]) : 1.0;
  return factor_of(column.shown, unit) * by_rim * at.sigma_of(column.figure);
}

std::vector<FigureTable> figure_tables(const CornerFigures& figures, const WheelSetting& wheel,
                                       LengthUnit unit) {
  std::vector<FigureTable> tables{at_ride_height(figures, wheel, unit)};
  for (const FigureGroup& group : figure_groups())
    tables.push_back(over_travel(group, figures.straight_ahead, wheel.rim_diameter_mm, unit));
  if (!figures.rack_held.empty()) tables.push_back(toe_with_rack_held(figures, unit));
  tables.push_back(roll_table(figures.roll, unit));
  tables.push_back(steer_table(figures.steer, unit));
  return tables;
}

std::vector<std::string> figure_notes(const CornerFigures& figures, const WheelSetting& wheel) {
  const std::string own(name_of(figures.side));
  const std::string other(name_of(figures.side == Side::left ? Side::right : Side::left));
  std::vector<std::string> notes;
  if (const std::string note = not_entered_note(wheel); !note.empty()) notes.push_back(note);
  notes.push_back(figures.mirrored ? "Roll and steering: only the " + own + " corner was given; the " +
                                         other + " one is taken as its mirror image."
                                   : "Roll and steering: both corners as they were given.");
  notes.push_back(roll_steer_words(figures.roll.roll_steer));
  if (!figures.steer.states.empty() && !figures.steer.states.front().ideal_difference_rad)
    notes.push_back(
        "With the wheelbase, Ackermann's difference of a wheel inside the bend to the one outside "
        "can be shown beside.");
  notes.push_back(
      "Signs: toe-in, camber with the top outboard, bump and the rest as said above, on both sides, by ISO "
      "8855 "
      "and in the workshop alike. Steer and roll angles after ISO 8855: steer is positive to the left, so "
      "toe-in "
      "of the left wheel is negative steer and toe-in of the right wheel positive; roll is positive when the "
      "body's left side rises. Both are changes against ride height and straight ahead.");
  notes.push_back(
      "The tyre's instant centre lies in the upright plane across the car through the tyre's contact "
      "with "
      "the ground. The one that the steering link should point at lies in the link's own plane, ahead of "
      "that or "
      "behind it: both are right, and they differ.");
  if (!figures.straight_ahead.ended_early.empty()) notes.push_back(figures.straight_ahead.ended_early);
  for (const FigureCurve& curve : figures.rack_held)
    if (!curve.ended_early.empty()) notes.push_back("With the rack aside: " + curve.ended_early);
  if (!figures.roll.ended_early.empty()) notes.push_back("In roll: " + figures.roll.ended_early);
  if (!figures.steer.ended_early.empty()) notes.push_back("In steering: " + figures.steer.ended_early);
  return notes;
}

}  // namespace pivotfix::report
