// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "advice/wording.h"
#include "page/cautions.h"
#include "page/numbers.h"
#include "page/text_layout.h"
#include "report/advice_tables.h"
#include "report/next_shots.h"
#include "report/photographs.h"
#include "report/pictures.h"
#include "report/report.h"
#include "report/tables.h"

namespace pivotfix {
namespace report {
namespace {

// "steering arm | 1 x 0.200 in | rod end | nut". A stack holds its spacers from the steering arm outwards;
// where it stands on the arm, top to bottom is the other way round for each of them.
std::string stack_line(const Stack& stack, bool hangs, LengthUnit unit) {
  const auto text_of = [&](std::vector<Spacer> spacers) {
    if (!hangs) std::reverse(spacers.begin(), spacers.end());
    return spacers_text(spacers, unit, " x ");
  };
  std::vector<std::string> parts{"steering arm"};
  if (!stack.between.empty()) parts.push_back(text_of(stack.between));
  parts.push_back("rod end");
  if (!stack.other_side.empty()) parts.push_back(text_of(stack.other_side));
  parts.push_back("nut");
  if (!hangs) std::reverse(parts.begin(), parts.end());
  std::string line;
  for (const std::string& part : parts) line += (line.empty() ? "" : " | ") + part;
  return line;
}

std::string stack_lines(const ReportInput& input) {
  if (input.advice.stacks.empty()) return {};
  const bool hangs = input.rod_end.mount == RodEndMount::below_arm;
  return "\nStack, from top to bottom\n" +
         wrapped(stack_line(input.advice.stack_now, hangs, input.unit), "  now    ") +
         wrapped(stack_line(plan_of(input.advice).stack, hangs, input.unit), "  after  ");
}

std::string other_stack_lines(const ReportInput& input) {
  std::string text;
  const bool first_is_told = input.advice.worth_changing;
  const Rows rows = stack_rows(input.advice, input.unit, 5);
  for (std::size_t i = first_is_told ? 1 : 0; i < rows.size(); ++i)
    text += wrapped(rows[i][0] + " between: rod end " + rows[i][2] + " (" + rows[i][3] + "), " + rows[i][4] +
                        " over the travel, " + rows[i][5] + " in the first inch",
                    "  " + std::to_string(i + 1) + ". ");
  if (text.empty()) return text;
  const char* heading = first_is_told                    ? "\nNext best stacks\n"
                        : first_is_nearest(input.advice) ? "\nStacks nearest to the best height\n"
                                                         : "\nStacks, the flattest over the travel first\n";
  return heading + text;
}

std::string height_lines(const ReportInput& input) {
  std::string text;
  for (const auto& row : height_rows(input))
    text += wrapped("rod end " + row[1] + ", link " + row[2] + ", largest toe change " + row[3],
                    "  " + row[0] + ": ");
  return text.empty() ? text : "\nBest heights\n" + text;
}

std::string tilt_lines(const ReportInput& input) {
  if (!(input.advice.tilt.allowed_then_rad > 0.0)) return "";
  return "\nTilt of the rod end over the travel\n" + aligned(tilt_rows(input), false);
}

std::string reading_lines(const ReportInput& input) {
  if (!input.advice.verification) return "";
  Rows rows{{travel_head(input.unit), "as read", "hardpoints", "both"}};
  for (const auto& row : reading_rows(input)) rows.push_back(row);
  return "\nToe change as read, degrees\n" + aligned(rows, true) +
         wrapped(reading_summary(input.advice), "  ");
}

std::string what_if_lines(const ReportInput& input) {
  if (input.what_ifs.empty()) return "";
  const char* heads[] = {"",           "mismatch ",        ", effective ", "; per inch ",
                         "; largest ", "; best rod end: ", "; between: "};
  std::string text;
  Rows curves{{travel_head(input.unit), "as it is"}};
  const Rows rows = what_if_rows(input);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const bool refused = i > 0 && !input.what_ifs[i - 1].refusal.empty();
    std::string line = refused ? rows[i][5] : "";
    for (std::size_t c = 1; c < rows[i].size() && !refused; ++c)
      if (!rows[i][c].empty() && rows[i][c] != not_known) line += heads[c] + rows[i][c];
    // The words of a change are too long for the head of its column.
    const std::string name = i > 0 ? "case " + std::to_string(i) : "";
    text += wrapped(line, "  " + name + (i > 0 ? ", " : "") + rows[i][0] + ": ");
    if (i > 0) curves.front().push_back(name);
  }
  for (const auto& row : what_if_toe_rows(input)) curves.push_back(row);
  return "\nWhat if\n" + text + "  " + what_if_toe_caption + ":\n" + aligned(curves, true);
}

std::string before_after_lines(const ReportInput& input) {
  Rows rows{{"", "now", plan_of(input.advice).name}};
  for (const auto& row : before_after_rows(input, plan_of(input.advice), Room::terminal)) rows.push_back(row);
  return "\n" + aligned(rows, false);
}

std::string toe_lines(const ReportInput& input) {
  const Advice& advice = input.advice;
  if (advice.now.travel_mm.empty()) return {};
  const std::vector<ToeColumn> columns = toe_columns(advice);
  Rows rows{{travel_head(input.unit)}};
  for (const ToeColumn& column : columns) rows.front().push_back(column.head);
  for (const auto& row : toe_rows(columns, input.unit, 0.0)) rows.push_back(row);
  return "\nToe change of one wheel from ride height, degrees (toe-in positive)\n" + aligned(rows, true);
}

std::string caution_lines() {
  return "\n" + wrapped(short_caution, "Caution: ") +
         wrapped("Geometry only: no give, play or wear. It advises, it does not certify.", "         ");
}

}  // namespace
}  // namespace report

std::string steer_text(const ReportInput& input) {
  using namespace report;
  const std::string title = input.title.empty() ? input.hardpoints.title : input.title;
  std::string text =
      wrapped((title.empty() ? "" : title + ": ") + std::string(name_of(input.hardpoints.side)) +
                  " front corner, " + words_of(input.hardpoints.layout),
              "");
  text += "\n";
  for (const std::string& sentence : input.advice.sentences)
    text += wrapped(lengths_in(sentence, input.unit), "");
  if (input.advice.sentences.empty()) text += "No advice could be given; see the numbers below.\n";
  text += wrapped(how_sure(input), "");
  text += before_after_lines(input);
  text += stack_lines(input);
  text += other_stack_lines(input);
  text += height_lines(input);
  text += tilt_lines(input);
  text += "\nSteering link in the front view\n" + aligned(link_rows(input.advice, input.unit), false);
  text += toe_lines(input);
  text += reading_lines(input);
  text += what_if_lines(input);
  const auto limits = limits_of(input);
  if (!limits.empty()) text += "\nWhat limits this answer\n";
  for (const std::string& limit : limits) text += wrapped(lengths_in(limit, input.unit), "  - ");
  return text + caution_lines();
}

std::string shots_text(const ShotPlan& plan, LengthUnit unit) {
  using namespace report;
  std::string text = wrapped(shots_sentence(plan, unit), "");
  for (std::size_t i = 0; i < plan.shots.size(); ++i)
    text += wrapped(plan.shots[i].words + ": then " + sigma_text(plan.shots[i].sigma_mm, unit),
                    "  " + std::to_string(i + 1) + ". ");
  if (!plan.weak.empty()) text += "What is weak now\n";
  for (const std::string& weak : plan.weak) text += wrapped(lengths_in(weak, unit), "  - ");
  return text;
}

std::string locate_text(const HardpointSet& hardpoints, const Network& network, LengthUnit unit) {
  using namespace report;
  const std::string unit_name(name_of(unit));
  std::string text = "Hardpoints of the " + std::string(name_of(hardpoints.side)) + " front corner, " +
                     unit_name + " (x forward, y left, z up)\n";
  Rows rows{{"point", "x", "y", "z"}};
  for (auto row : hardpoint_rows(hardpoints, unit)) {
    row.resize(4);
    rows.push_back(row);
  }
  text += aligned(rows, true);
  text += has_uncertainties(hardpoints) ? "  \xC2\xB1 is one standard uncertainty.\n"
                                        : "  These points came without uncertainties.\n";
  return text + "\n" + network_text(network, unit);
}

std::string network_text(const Network& network, LengthUnit unit) {
  using namespace report;
  std::string text = wrapped(network_summary(network) + ".", "Photographs: ");
  for (const std::string& warning : network.warnings) text += wrapped(lengths_in(warning, unit), "  ! ");
  if (const std::string pictures = pictures_text(network); !pictures.empty())
    text += wrapped(printable(pictures) + ".", "  Sharpness: ");
  text += wrapped(halves_text(network.cross_validation, unit) + ".", "  Check: ");
  std::string doubts;
  for (const Station& station : network.stations)
    if (!station.used)
      doubts += wrapped("not used, " + station.why_not, "  " + printable(station.photo) + ": ");
    else if (const std::string reason = look_again(station, network); !reason.empty())
      doubts += wrapped(reason, "  " + printable(station.photo) + ": ");
  for (const std::string& line : tags_to_look_at(network)) doubts += wrapped(printable(line), "  ");
  for (const ScaleBarResult& result : network.scale_bars) {
    const std::string reason = look_again(result);
    text += wrapped("off by " + off_text(result, unit) + (reason.empty() ? ", good" : ", " + reason),
                    "  scale strip " + std::to_string(result.bar.from_tag) + "-" +
                        std::to_string(result.bar.to_tag) + ": ");
  }
  if (!network.rejected.empty())
    text += "  " + counted(network.rejected.size(), "view") + " of a tag left out.\n";
  return text + (doubts.empty() ? "Nothing to look at again.\n" : "Look again:\n" + doubts);
}

}  // namespace pivotfix
