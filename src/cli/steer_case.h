// SPDX-License-Identifier: Apache-2.0
// What `steer` is asked: from the file and from the options that replace parts of it.
#pragma once

#include <string>
#include <vector>

#include "advice/advice.h"
#include "base/units.h"
#include "cli/figure_options.h"

namespace pivotfix {

// As typed.
struct SteerOptions {
  std::string file{};
  std::string driving{};
  std::string bump{};
  std::string droop{};
  std::string aim{};
  std::vector<std::string> weights{};
  std::vector<std::string> spacers{};
  std::vector<std::string> between{};
  std::vector<std::string> other_side{};
  std::string stack_total{};
  std::string mounted{};
  std::vector<std::string> readings{};
  std::vector<std::string> what_ifs{};
  std::vector<std::string> sweeps{};
  std::string contour{};
  FigureOptions figures{};
  std::string units{};
  std::string report{};
  bool force = false;
};

struct SteerCase {
  AdviceQuestion question{};
  LengthUnit unit = LengthUnit::millimetre;
  std::string ride_height_words{};   // that the corner was brought to its recorded height; else empty
  std::vector<std::string> notes{};  // that the pivots are not of the job as it is now
};

// A job with the hardpoints beside it, or a hardpoint file. Throws Problem(input).
SteerCase case_of_file(const std::string& file);

// Throws Problem(usage) naming the option, Problem(input) for the file.
SteerCase case_from(const SteerOptions& options);

}  // namespace pivotfix
