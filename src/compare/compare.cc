// SPDX-License-Identifier: Apache-2.0
#include "compare/compare.h"

#include <algorithm>
#include <cmath>

#include "base/chi_square.h"
#include "base/problem.h"
#include "base/units.h"
#include "compare/common_lines.h"
#include "compare/corner_change.h"
#include "compare/overlay.h"
#include "compare/recorded_tags.h"
#include "compare/touched.h"
#include "corner/corner.h"
#include "hardpoints/open_lines.h"

namespace pivotfix {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double chance_that_others_stayed = 0.01;  // below, they did not

bool has(const HardpointSet& set, const std::string& name) {
  return std::any_of(set.points.begin(), set.points.end(),
                     [&](const Hardpoint& point) { return point.name == name; });
}

std::vector<std::string> common_pivots(const HardpointSet& before, const HardpointSet& after) {
  std::vector<std::string> names;
  for (const std::string& name : hardpoint_names(before.layout))
    if (has(before, name) && has(after, name)) names.push_back(name);
  return names;
}

std::vector<int> common_tags(const HardpointSet& before, const HardpointSet& after) {
  std::vector<int> numbers;
  for (const int number : before.body_tags.numbers)
    if (std::count(after.body_tags.numbers.begin(), after.body_tags.numbers.end(), number) > 0)
      numbers.push_back(number);
  return numbers;
}

bool tags_may_carry(const HardpointSet& set) {
  return set.covariance_mm2.size() == 0 || set.body_tags.covariance_mm2.size() > 0;
}

std::vector<int> tags_to_use(const HardpointSet& before, const HardpointSet& after,
                             const CompareOptions& options, Comparison& result) {
  if (options.on_axes || result.mirrored) return {};
  std::vector<int> tags = common_tags(before, after);
  if (tags.empty()) return {};
  if (tags.size() < 3) {
    result.notes.push_back("Only " + std::to_string(tags.size()) +
                           " body tags are common, three are needed: compared on the axes.");
    return {};
  }
  if (!tags_may_carry(before) || !tags_may_carry(after)) {
    result.notes.push_back("The body tags have no uncertainties: compared on the axes.");
    return {};
  }
  return tags;
}

// Pivots and tags of the whole set; empty when not known.
MatrixXd joint_covariance(const HardpointSet& set) {
  const Index points = set.covariance_mm2.rows(), tags = set.body_tags.covariance_mm2.rows();
  if (tags == 0) return set.covariance_mm2;
  MatrixXd joint(points + tags, points + tags);
  joint.topLeftCorner(points, points) = set.covariance_mm2;
  joint.bottomRows(tags) = set.body_tags.covariance_mm2;
  joint.topRightCorner(points, tags) = set.body_tags.covariance_mm2.leftCols(points).transpose();
  return joint;
}

PointCloud cloud_of(const HardpointSet& set, const std::vector<std::string>& names,
                    const std::vector<int>& tags, double assumed_sigma_mm) {
  PointCloud cloud;
  std::vector<Index> rows;
  const auto add_rows = [&](std::size_t i) {
    for (Index c = 0; c < 3; ++c) rows.push_back(3 * static_cast<Index>(i) + c);
  };
  for (const std::string& name : names) {
    cloud.pivots_mm.push_back(set.position_vehicle_mm(name));
    add_rows(set.index_of(name));
  }
  const std::vector<int>& numbers = set.body_tags.numbers;
  for (const int number : tags) {
    const auto i =
        static_cast<std::size_t>(std::find(numbers.begin(), numbers.end(), number) - numbers.begin());
    cloud.tags_mm.push_back(set.body_tags.centres_vehicle_mm[i]);
    add_rows(set.points.size() + i);
  }
  const auto n = static_cast<Index>(rows.size());
  if (set.covariance_mm2.size() > 0)
    cloud.covariance_mm2 = joint_covariance(set)(rows, rows);
  else if (assumed_sigma_mm > 0.0)
    cloud.covariance_mm2 = assumed_sigma_mm * assumed_sigma_mm * MatrixXd::Identity(n, n);
  cloud.covariance_mm2.diagonal().array() += least_variance_mm2;
  return cloud;
}

HardpointSet with_assumed_sigma(HardpointSet set, double sigma_mm) {
  const auto n = static_cast<Index>(3 * set.points.size());
  if (set.covariance_mm2.size() == 0 && sigma_mm > 0.0)
    set.covariance_mm2 = sigma_mm * sigma_mm * MatrixXd::Identity(n, n);
  return set;
}

void note_open_lines(const std::vector<CommonLine>& lines, const std::vector<std::string>& pivots,
                     std::vector<std::string>& notes) {
  std::set<std::string> open;
  for (const CommonLine& line : lines) open.insert(pivots[line.pivot]);
  if (!open.empty())
    notes.push_back("Known only as a line: " + listed(open) +
                    ". Where on it each set has it says nothing; only what is across it is compared.");
}

void note_left_out(const std::vector<int>& left_out, std::vector<std::string>& notes) {
  std::string list;
  for (const int number : left_out) list += (list.empty() ? "" : ", ") + std::to_string(number);
  if (!list.empty())
    notes.push_back("Body tags that no longer fit the others and were left out: " + list +
                    ". Moved, or stuck anew?");
}

// Along the car the axes begin at the wheel centre, which new arms may move; sideways a taped half
// track inboard of it.
OverlaidPivots laid_over_on_axes(const PointCloud& before, const PointCloud& after, Comparison& result) {
  result.notes.push_back(
      result.mirrored
          ? "The axes start at the wheel centre: if one wheel stands further ahead than the other "
            "(arms, caster), its side's body pivots seem to stand further back by as much; half tracks taped "
            "differently look like all pivots further out on one side."
          : "The axes start at the wheel centre: if the wheel itself moved along the car (other "
            "arms, caster), the body's pivots seem to have moved the other way by as much; a half track "
            "taped differently looks like all pivots moved sideways alike.");
  return on_axes(before, after);
}

OverlaidPivots laid_over(const PointCloud& before, const PointCloud& after, const std::vector<int>& tags,
                         Comparison& result) {
  if (tags.empty()) return laid_over_on_axes(before, after, result);
  OverlaidPivots overlaid = on_tags(before, after);
  if (!overlaid.tags_agree) {
    result.notes.push_back(
        "The common body tags do not keep their places to each other, more than one must have moved: "
        "compared on the axes.");
    return laid_over_on_axes(before, after, result);
  }
  result.overlay.alignment = Alignment::body_tags;
  result.overlay.rms_mm = overlaid.rms_mm;
  for (std::size_t i = 0; i < tags.size(); ++i) {
    const bool left_out = std::count(overlaid.left_out.begin(), overlaid.left_out.end(), i) > 0;
    (left_out ? result.overlay.left_out : result.overlay.tags).push_back(tags[i]);
  }
  return overlaid;
}

void judge_all(const OverlaidPivots& overlaid, Comparison& result) {
  const Congruence congruence =
      judge_congruence(stacked(overlaid.shift_mm), overlaid.covariance_mm2,
                       std::vector<Index>(result.shifts.size(), 3), result.options.false_alarms);
  result.together = congruence.together;
  for (std::size_t i = 0; i < result.shifts.size(); ++i) result.shifts[i].verdict = congruence.parts[i];
}

// A pivot on a line can be seen to move across it only, whichever way it went.
std::vector<TouchedPivot> touched_pivots(const Comparison& comparison,
                                         const std::vector<OpenDirection>& open) {
  std::vector<TouchedPivot> pivots;
  for (const SaidTouched& said : comparison.options.touched) {
    const auto shift = std::find_if(comparison.shifts.begin(), comparison.shifts.end(),
                                    [&](const Shift& one) { return one.name == said.pivot; });
    if (shift == comparison.shifts.end())
      throw Problem(ProblemKind::input, "There is no \"" + said.pivot + "\" in both sets.",
                    "Name a pivot as the hardpoint file does.");
    const auto index = static_cast<std::size_t>(shift - comparison.shifts.begin());
    if (std::any_of(pivots.begin(), pivots.end(), [&](const TouchedPivot& p) { return p.pivot == index; }))
      throw Problem(ProblemKind::input, "\"" + said.pivot + "\" is named twice.", "Name it once.");
    const bool on_line =
        std::any_of(open.begin(), open.end(), [&](const OpenDirection& one) { return one.pivot == index; });
    pivots.push_back({index, on_line ? std::nullopt : said.direction_vehicle});
  }
  return pivots;
}

// False when the others do not look as if they had stayed.
bool judge_touched(const OverlaidPivots& overlaid, const std::vector<OpenDirection>& open,
                   Comparison& result) {
  const std::vector<TouchedPivot> pivots = touched_pivots(result, open);
  const TouchedShifts touched = touched_across(open, overlaid, pivots);
  if (touched.rest_freedom > 0 &&
      chi_square_probability(touched.rest_chi_square, touched.rest_freedom) < chance_that_others_stayed)
    return false;
  const Congruence congruence =
      judge_congruence(touched.shift_mm, touched.covariance_mm2, touched.sizes, result.options.false_alarms);
  result.together = congruence.together;
  for (Shift& shift : result.shifts) shift.reference = true;
  Index at = 0;
  for (std::size_t i = 0; i < pivots.size(); at += touched.sizes[i], ++i) {
    Shift& shift = result.shifts[pivots[i].pivot];
    const MatrixXd from_unknowns =
        pivots[i].direction ? MatrixXd(*pivots[i].direction) : MatrixXd(Eigen::Matrix3d::Identity());
    const Index size = touched.sizes[i];
    shift.shift_mm = from_unknowns * touched.shift_mm.segment(at, size);
    shift.covariance_mm2 =
        from_unknowns * touched.covariance_mm2.block(at, at, size, size) * from_unknowns.transpose();
    shift.reference = false;
    if (pivots[i].direction) shift.direction_words = result.options.touched[i].direction_words;
    shift.verdict = congruence.parts[i];
  }
  return true;
}

void add_shifts(const std::vector<std::string>& names, const OverlaidPivots& overlaid,
                const std::vector<OpenDirection>& open, Comparison& result) {
  const OverlaidPivots shown = across(open, overlaid);
  result.judged = shown.covariance_mm2.size() > 0;
  for (std::size_t i = 0; i < names.size(); ++i) {
    Shift shift{names[i], shown.shift_mm[i]};
    const auto at = static_cast<Index>(3 * i);
    if (result.judged) shift.covariance_mm2 = shown.covariance_mm2.block<3, 3>(at, at);
    result.shifts.push_back(shift);
  }
  if (!result.judged) {
    touched_pivots(result, open);  // names must be right all the same
    return;
  }
  if (!result.options.touched.empty()) result.touched_only = judge_touched(overlaid, open, result);
  if (result.touched_only) return;
  if (!result.options.touched.empty())
    result.notes.push_back(
        "More has moved than you said was touched, or otherwise than you said; so every pivot was judged.");
  judge_all(shown, result);
}

void note_heights(const StandingSet& before, const StandingSet& after, std::vector<std::string>& notes) {
  if (!before.words.empty()) notes.push_back("First set: " + before.words);
  if (!after.words.empty()) notes.push_back("Second set: " + after.words);
}

// In other units, or with exchanged joints, every pivot would count as moved.
void check_possible(const HardpointSet& set, const std::string& which) {
  const std::vector<std::string>& names = hardpoint_names(set.layout);
  if (!std::all_of(names.begin(), names.end(), [&](const std::string& name) { return has(set, name); }))
    return;
  try {
    make_corner(set);
  } catch (const Problem& problem) {
    if (problem.kind() != ProblemKind::refused) throw;
    throw Problem(ProblemKind::refused, "The " + which + " set is wrong: " + problem.what_happened(),
                  problem.remedy());
  }
}

void add_corner(Comparison& result) {
  try {
    // Each in its own axes: the ground and straight ahead count there.
    result.corner = corner_change(result.before, result.after);
  } catch (const Problem& problem) {
    if (problem.kind() != ProblemKind::refused && problem.kind() != ProblemKind::input) throw;
    result.notes.push_back("What the wheel does cannot be compared: " + problem.what_happened());
  }
}

}  // namespace

double Shift::point_sigma_mm() const {
  return std::sqrt(covariance_mm2.trace());
}

double Shift::length_sigma_mm() const {
  const double length_mm = shift_mm.norm();
  if (!(length_mm > 0.0)) return point_sigma_mm();
  return std::sqrt(shift_mm.dot(covariance_mm2 * shift_mm)) / length_mm;
}

Comparison compare(const HardpointSet& before_as_given, const HardpointSet& after_as_given,
                   const CompareOptions& options) {
  Comparison result;
  result.options = options;
  if (before_as_given.layout != after_as_given.layout)
    throw Problem(ProblemKind::refused,
                  "One is a " + words_of(before_as_given.layout) + " corner, the other a " +
                      words_of(after_as_given.layout) + " corner.",
                  "Compare corners of one layout.");
  check_possible(before_as_given, "first");
  check_possible(after_as_given, "second");
  const StandingSet first = standing_as_recorded(before_as_given);
  const StandingSet second = standing_as_recorded(after_as_given);
  note_heights(first, second, result.notes);
  result.mirrored = first.hardpoints.side != second.hardpoints.side;
  const HardpointSet& before = first.hardpoints;
  const HardpointSet after = result.mirrored ? mirrored(second.hardpoints) : second.hardpoints;
  const std::vector<std::string> names = common_pivots(before, after);
  if (names.empty())
    throw Problem(ProblemKind::refused, "The sets have no pivot in common.",
                  "Compare sets of the same corner.");
  const std::vector<int> tags = tags_to_use(before, after, options, result);
  const PointCloud before_cloud = cloud_of(before, names, tags, options.assumed_sigma_mm);
  const std::vector<CommonLine> lines = common_lines(before, after, names);
  const PointCloud after_cloud =
      slid_to_the_first(before_cloud, lines, cloud_of(after, names, tags, options.assumed_sigma_mm));
  const OverlaidPivots overlaid = laid_over(before_cloud, after_cloud, tags, result);
  note_left_out(result.overlay.left_out, result.notes);
  note_open_lines(lines, names, result.notes);
  add_shifts(names, overlaid, open_directions(before_cloud, lines, overlaid), result);
  result.before = with_assumed_sigma(before, options.assumed_sigma_mm);
  result.after = with_assumed_sigma(after, options.assumed_sigma_mm);
  add_corner(result);
  for (std::size_t i = 0; i < names.size(); ++i)
    result.after.points[result.after.index_of(names[i])].position_vehicle_mm = overlaid.pivots_mm[i];
  return result;
}

}  // namespace pivotfix
