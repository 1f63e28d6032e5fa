// SPDX-License-Identifier: Apache-2.0
// What main() and the commands share. Each command is one file: its options, its help, what it runs.
#pragma once

#include <CLI/CLI.hpp>
#include <optional>
#include <string>

#include "base/problem.h"
#include "base/units.h"
#include "sheets/sheets.h"

namespace pivotfix {

// The end of every command's help.
inline constexpr const char* exit_codes_help =
    "Exit codes: 0 done, 1 defect of the program, 2 wrong options, 3 a file is missing or wrong,\n"
    "4 refused: the input is readable but does not carry an answer that can be trusted.";

inline constexpr const char* program_version = PIVOTFIX_VERSION;

// Each adds one subcommand to the program; the command runs from inside app.parse().
void add_print_command(CLI::App& app);
void add_new_command(CLI::App& app);
void add_locate_command(CLI::App& app);
void add_steer_command(CLI::App& app);
void add_shots_command(CLI::App& app);
void add_accept_command(CLI::App& app);
void add_lens_command(CLI::App& app);
void add_run_command(CLI::App& app);
void add_convert_command(CLI::App& app);
void add_compare_command(CLI::App& app);
void add_pool_command(CLI::App& app);

// Runs what makes a value of an option's text; its complaint becomes Problem(usage) with the option in front.
template <typename Convert>
auto from_option(const std::string& option, Convert convert) {
  try {
    return convert();
  } catch (const Problem& problem) {
    throw Problem(ProblemKind::usage, option + ": " + problem.what_happened(), problem.remedy());
  }
}

// Lengths and angles from the command line; throw Problem(usage) naming the option.
double length_option_mm(const std::string& option, const std::string& text, LengthUnit bare_unit);
double positive_option_mm(const std::string& option, const std::string& text, LengthUnit bare_unit);
double angle_option_rad(const std::string& option, const std::string& text);

// Throws Problem(usage) when the file is there and `force` is not set, Problem(input) where that cannot be
// told.
void check_may_write(const std::string& file, bool force);

// A name as a shell takes it: in quotes where it is not of plain letters.
std::string shell_word(const std::string& name);

// The command that answers questions about a hardpoint file in this unit; a file of millimetres does not say
// that its job was in inches.
std::string steer_command_for(const std::string& hardpoint_file, LengthUnit unit);

// "a4" or "letter"; throws Problem(usage).
Paper paper_option(const std::string& text);

// "mm" or "in"; throws Problem(usage).
LengthUnit unit_option(const std::string& text);

}  // namespace pivotfix
