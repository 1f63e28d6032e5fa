// SPDX-License-Identifier: Apache-2.0
// Options of `steer` about how the wheel moves: figures over travel, the rack held aside, roll, steering.
#pragma once

#include <CLI/CLI.hpp>
#include <optional>
#include <string>
#include <vector>

#include "corner/corner_figures.h"
#include "report/report.h"

namespace pivotfix {

// As typed.
struct FigureOptions {
  bool print = false;
  std::vector<std::string> racks{};
  std::string other_corner{};
  std::string roll{};
  std::string rack_travel{};
  std::string wheelbase{};
  std::string figures_csv{};
  std::string axle_csv{};

  // Whoever asks about racks or roll wants to read it.
  bool wants_text() const {
    return print || !racks.empty() || !roll.empty() || !rack_travel.empty() || !wheelbase.empty() ||
           (!other_corner.empty() && !wants_files());
  }
  bool wants_files() const { return !figures_csv.empty() || !axle_csv.empty(); }
};

void add_figure_options(CLI::App& command, FigureOptions& options);

// Of the hardpoints in `question`, with its readings worked in. Throws Problem(usage) naming the option.
CornerFigures figures_for(const FigureOptions& options, const AdviceQuestion& question, LengthUnit unit);

}  // namespace pivotfix
