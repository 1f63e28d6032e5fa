// SPDX-License-Identifier: Apache-2.0
#include "club_report/comparison_words.h"

#include <algorithm>
#include <cmath>

#include "advice/toe_at.h"
#include "page/numbers.h"
#include "page/travel_axis.h"

namespace pivotfix::report {
namespace {

// By its largest coordinate.
std::string direction_words(const Eigen::Vector3d& shift_mm, bool left) {
  Eigen::Index largest = 0;
  shift_mm.cwiseAbs().maxCoeff(&largest);
  const bool positive = shift_mm[largest] > 0.0;
  if (largest == 0) return positive ? "mostly forward" : "mostly rearward";
  if (largest == 2) return positive ? "mostly up" : "mostly down";
  return positive == left ? "mostly outboard" : "mostly inboard";
}

// "link outer joint by 5.1 ± 0.2 mm, mostly down; ...", the largest first.
std::string list_of(const ComparisonReport& input, Movement movement) {
  std::vector<const Shift*> moved;
  for (const Shift& shift : input.comparison.shifts)
    if (shift.verdict.movement == movement && !shift.reference) moved.push_back(&shift);
  std::stable_sort(moved.begin(), moved.end(),
                   [](const Shift* a, const Shift* b) { return a->shift_mm.norm() > b->shift_mm.norm(); });
  std::string list;
  for (const Shift* shift : moved)
    list += (list.empty() ? "" : "; ") + spoken(shift->name) + " by " +
            length_text(shift->shift_mm.norm(), shift->length_sigma_mm(), input.unit, 1) + ", " +
            direction_words(shift->shift_mm, input.comparison.before.side == Side::left);
  return list;
}

std::string moved_sentence(const ComparisonReport& input) {
  const Comparison& comparison = input.comparison;
  const bool sides = comparison.mirrored;
  if (!comparison.judged)
    return std::string("Whether a pivot ") + (sides ? "differs" : "moved") +
           " cannot be judged: not both sets have uncertainties. Give one with --sigma.";
  if (const std::string list = list_of(input, Movement::surely); !list.empty())
    return (sides
                ? "The sides differ, " + second_word(comparison) + " against " + first_word(comparison) + ": "
                : std::string("Moved: ")) +
           list + ".";
  if (comparison.together.movement == Movement::surely)
    return "The pivots together differ by more than chance explains, but no single one stands out.";
  if (comparison.touched_only)
    return "No pivot that you touched moved by more than the uncertainty of the two measurements explains.";
  return std::string("No pivot ") + (sides ? "differs" : "moved") +
         " by more than the uncertainty of the two measurements explains.";
}

std::string perhaps_sentence(const ComparisonReport& input) {
  const std::string list = list_of(input, Movement::perhaps);
  if (list.empty()) return {};
  return std::string(input.comparison.mirrored ? "Perhaps different" : "Perhaps moved") +
         ", worth a second look: " + list + ". For any one pivot chance alone gives that in " +
         share_words(input.comparison.options.false_alarms) + " comparisons.";
}

// "1.74° before, 0.50° after"
std::string both_words(const Comparison& comparison, const std::string& before, const std::string& after) {
  return before + " " + first_word(comparison) + ", " + after + " " + second_word(comparison);
}

std::string corner_sentence(const ComparisonReport& input) {
  const Comparison& comparison = input.comparison;
  const CornerChange& corner = *comparison.corner;
  const BeforeAfter &mismatch = corner.effective_mismatch_rad, &inch = corner.one_inch_toe_rad,
                    &height = corner.best_height_mm;
  std::string text =
      "Effective mismatch of steering link and arm: " +
      both_words(comparison, angle_text(mismatch.before, 2), angle_text(mismatch.after, 2)) +
      ". First inch of bump: " +
      both_words(comparison, toe_words(inch.before.value, 0.0, 2), toe_words(inch.after.value, 0.0, 2)) + ".";
  if (corner.best_height_found)
    text += " To its best height the rod end " + std::string("has to go: ") +
            both_words(comparison, move_words(height.before.value, height.before.sigma, input.unit),
                       move_words(height.after.value, height.after.sigma, input.unit)) +
            ".";
  return text;
}

std::vector<std::string> angle_row(const std::string& what, const BeforeAfter& change) {
  return {what, angle_text(change.before, 2), angle_text(change.after, 2), angle_text(change.change, 2)};
}

// The curve's value at this travel, degrees. The second curve may end early.
std::string degrees_at(const std::vector<double>& values_rad, const std::vector<double>& travels_mm,
                       double travel_mm) {
  const ToeCurve curve{"", 0.0, travels_mm, values_rad};
  const auto at = toe_at(curve, travel_mm);
  return at ? format_fixed(deg_from_rad(at->toe_rad), 3) : not_known;
}

std::string tag_list(const std::vector<int>& numbers) {
  std::string list;
  for (const int number : numbers) list += (list.empty() ? "" : ", ") + std::to_string(number);
  return list;
}

std::string moved_word(const Shift& shift) {
  if (shift.reference) return "held fixed";
  if (shift.verdict.movement == Movement::surely) return "yes";
  return shift.verdict.movement == Movement::perhaps ? "perhaps" : "no";
}

std::string overlay_words(const ComparisonReport& input) {
  const Comparison& comparison = input.comparison;
  if (comparison.overlay.alignment == Alignment::body_tags)
    return "Laid over each other on the body tags " + tag_list(comparison.overlay.tags) + ", which fit to " +
           length_text(comparison.overlay.rms_mm, 0.0, input.unit, 2) + ".";
  return "Each set in its own vehicle axes; an error of the axes is in the shifts' uncertainty.";
}

std::string judging_words(const Comparison& comparison) {
  const std::string share = share_words(comparison.options.false_alarms);
  const Verdict& together = comparison.together;
  std::string text;
  if (comparison.touched_only)
    text =
        "Only what you said was touched was judged; all other pivots agree with having stayed, and the "
        "shifts are measured from them. ";
  return text + "\"yes\": when nothing has moved, an alarm of any kind comes in " + share +
         " comparisons, however many pivots there are. \"perhaps\": as rare as that for this pivot by "
         "itself, not for all that were looked at. Congruence test of all together: chi square " +
         format_fixed(together.statistic, 1) + " with " +
         counted(static_cast<std::size_t>(together.freedom), "degree") + " of freedom, by chance " +
         chance_text(together.alone) + ".";
}

}  // namespace

std::string chance_text(double probability) {
  return probability < 0.001 ? "< 0.001" : format_fixed(probability, 3);
}

std::string share_words(double share) {
  std::string percent = format_fixed(100.0 * share, 2);
  percent.erase(percent.find_last_not_of('0') + 1);
  if (percent.back() == '.') percent.pop_back();
  return percent + " of 100";
}

std::string first_word(const Comparison& comparison) {
  return comparison.mirrored ? std::string(name_of(comparison.before.side)) : "before";
}

std::string second_word(const Comparison& comparison) {
  if (!comparison.mirrored) return "after";
  return std::string(name_of(comparison.before.side == Side::left ? Side::right : Side::left));
}

std::vector<std::string> comparison_sentences(const ComparisonReport& input) {
  std::vector<std::string> sentences{moved_sentence(input)};
  if (const std::string perhaps = perhaps_sentence(input); !perhaps.empty()) sentences.push_back(perhaps);
  if (input.comparison.corner) sentences.push_back(corner_sentence(input));
  return sentences;
}

std::vector<std::string> shift_heads(const ComparisonReport& input) {
  const std::string unit = ", " + std::string(name_of(input.unit));
  std::vector<std::string> heads{"pivot", "x" + unit, "y" + unit, "z" + unit, "length" + unit};
  if (input.comparison.judged) {
    heads.insert(heads.end(), {"by chance", "of all"});
    heads.push_back(input.comparison.mirrored ? "differs" : "moved");
  }
  return heads;
}

Rows shift_rows(const ComparisonReport& input) {
  const Comparison& comparison = input.comparison;
  const double unit = mm_per(input.unit);
  double largest_sigma = 0.0;
  for (const Shift& shift : comparison.shifts)
    largest_sigma = std::max(largest_sigma, shift.sigma_mm().maxCoeff() / unit);
  const int decimals = column_decimals(largest_sigma, fine_decimals(input.unit));
  Rows rows;
  for (const Shift& shift : comparison.shifts) {
    std::vector<std::string> row{spoken(shift.name)};
    for (Eigen::Index c = 0; c < 3; ++c)
      row.push_back(column_text(shift.shift_mm[c] / unit, shift.sigma_mm()[c] / unit, decimals));
    row.push_back(column_text(shift.shift_mm.norm() / unit, shift.length_sigma_mm() / unit, decimals));
    if (comparison.judged) {
      row.push_back(shift.reference ? not_known : chance_text(shift.verdict.alone));
      row.push_back(shift.reference ? not_known : chance_text(shift.verdict.probability));
      row.push_back(moved_word(shift));
    }
    rows.push_back(row);
  }
  return rows;
}

std::vector<std::string> change_heads(const Comparison& comparison) {
  return {"", first_word(comparison), second_word(comparison), comparison.mirrored ? "difference" : "change"};
}

Rows angle_rows(const ComparisonReport& input) {
  if (!input.comparison.corner) return {};
  const CornerChange& corner = *input.comparison.corner;
  return {angle_row("lower arm, rising outboard", corner.arm_angle_rad),
          angle_row("link, rising outboard", corner.link_angle_rad),
          angle_row("mismatch: link minus arm", corner.mismatch_rad),
          angle_row("effective mismatch", corner.effective_mismatch_rad),
          angle_row("toe, first inch of bump", corner.one_inch_toe_rad),
          angle_row("camber, first inch of bump", corner.camber_gain_rad),
          angle_row("toe as entered", corner.toe_rad),
          angle_row("camber as entered", corner.camber_rad),
          angle_row("caster", corner.caster_rad),
          angle_row("steering-axis inclination", corner.inclination_rad)};
}

Rows change_rows(const ComparisonReport& input) {
  Rows rows = angle_rows(input);
  if (rows.empty() || !input.comparison.corner->best_height_found) return rows;
  const CornerChange& corner = *input.comparison.corner;
  const auto move = [&](const Uncertain& height) {
    return move_words(height.value, height.sigma, input.unit);
  };
  rows.push_back({"rod end, still to go to its best height", move(corner.best_height_mm.before),
                  move(corner.best_height_mm.after), move(corner.best_height_mm.change)});
  return rows;
}

std::vector<std::string> travel_heads(const ComparisonReport& input) {
  const std::string first = first_word(input.comparison), second = second_word(input.comparison);
  return {travel_head(input.unit), "toe " + first, "toe " + second, "camber " + first, "camber " + second};
}

Rows travel_rows(const ComparisonReport& input) {
  if (!input.comparison.corner) return {};
  const CornerChange& corner = *input.comparison.corner;
  const ToeCurve &before = corner.toe_before, &after = corner.toe_after;
  if (before.travel_mm.empty()) return {};
  Rows rows;
  for (const double travel_mm :
       tabled_travel_mm(before.travel_mm.front(), before.travel_mm.back(), input.unit))
    rows.push_back({travel_text(travel_mm, input.unit),
                    degrees_at(before.toe_change_rad, before.travel_mm, travel_mm),
                    degrees_at(after.toe_change_rad, after.travel_mm, travel_mm),
                    degrees_at(corner.camber_before_rad, before.travel_mm, travel_mm),
                    degrees_at(corner.camber_after_rad, after.travel_mm, travel_mm)});
  return rows;
}

std::vector<std::string> comparison_method(const ComparisonReport& input) {
  const Comparison& comparison = input.comparison;
  std::vector<std::string> texts;
  if (comparison.mirrored) texts.push_back("The second set is of the other side and was mirrored.");
  texts.push_back(overlay_words(input));
  if (comparison.judged) {
    texts.push_back(judging_words(comparison));
    texts.push_back(
        "Both measurements count as independent. What both share, such as the same wrong stand-off, does "
        "not show. Where the wheel stood higher or was steered otherwise, its joints did move: stand it "
        "alike, or let the job record the ride height.");
  }
  for (const std::string& note : comparison.notes) texts.push_back(lengths_in(note, input.unit));
  return texts;
}

}  // namespace pivotfix::report
