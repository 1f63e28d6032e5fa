// SPDX-License-Identifier: Apache-2.0
// Reports on invented corners that are solved for real.
#pragma once

#include "corner/example_corners.h"
#include "report/report.h"

namespace pivotfix {

// A strut corner with 0.100 in between arm and rod end, called `label`, and one 0.200 in in the box.
inline AdviceQuestion question_of_a_strut(const std::string& label = "0.100 in") {
  AdviceQuestion question;
  question.hardpoints = example_set(Layout::strut);
  question.rod_end.between_now = {{2.54, 1, label}};
  question.rod_end.stock = {{5.08, 2, "0.200 in"}, {2.54, 1, label}};
  question.driving.travel = {40.0, 40.0};
  return question;
}

inline ReportInput solved_report(const AdviceQuestion& question) {
  ReportInput input;
  input.title = "Invented car";
  input.hardpoints = question.hardpoints;
  input.rod_end = question.rod_end;
  input.advice = advise(question);
  input.exploration = explore(question, input.advice);
  return input;
}

}  // namespace pivotfix
