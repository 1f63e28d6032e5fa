// SPDX-License-Identifier: Apache-2.0
#include <malloc.h>

#include <algorithm>
#include <csignal>
#include <exception>
#include <filesystem>
#include <iostream>
#include <memory>
#include <new>
#include <string>
#include <vector>

#include "base/problem.h"
#include "base/suggestion.h"
#include "cli/program.h"
#include "page/text_layout.h"

namespace {

using pivotfix::Problem;
using pivotfix::ProblemKind;

int exit_code(ProblemKind kind) {
  return static_cast<int>(kind);
}

std::vector<std::string> command_names(const CLI::App& app) {
  std::vector<std::string> names;
  for (const CLI::App* command : app.get_subcommands({})) names.push_back(command->get_name());
  return names;
}

// CLI11 says that a mistyped command "was not expected"; people need to hear which commands there are.
void check_command_name(const CLI::App& app, int argc, char** argv) {
  if (argc < 2 || argv[1][0] == '-') return;
  const std::vector<std::string> names = command_names(app);
  if (std::find(names.begin(), names.end(), argv[1]) != names.end()) return;
  throw Problem(ProblemKind::usage, "There is no command \"" + std::string(argv[1]) + "\".",
                pivotfix::suggestion(argv[1], names));
}

// What CLI11 found wrong, in our words where its own do not help.
Problem usage_problem(const CLI::App& app, const CLI::ParseError& error) {
  const auto chosen = app.get_subcommands();
  const std::string see =
      "See: pivotfix " + (chosen.empty() ? "" : chosen.front()->get_name() + " ") + "--help";
  // A mistyped option is the cause when it also leaves a file name unread, so it is told first.
  const std::vector<std::string> not_understood = app.remaining(true);
  if (!not_understood.empty())
    return {ProblemKind::usage, "\"" + not_understood.front() + "\" is not understood.", see};
  if (chosen.empty())
    return {ProblemKind::usage, "No command is given.", pivotfix::suggestion("", command_names(app))};
  std::string what = error.what();
  if (what.ends_with('.')) what.pop_back();
  return {ProblemKind::usage, what + ".", see};
}

int run(int argc, char** argv) {
  const std::unique_ptr<CLI::App> program = pivotfix::make_program();
  CLI::App& app = *program;
  check_command_name(app, argc, argv);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    if (error.get_exit_code() == 0) return app.exit(error);  // help or version
    throw usage_problem(app, error);
  }
  std::cout.flush();
  if (!std::cout) throw Problem(ProblemKind::input, "The output cannot be written.", "Is the disk full?");
  return 0;
}

// What one photo needed is kept for the next: to get megabytes from the kernel and give them back for each
// photo costs as much as to decode it.
void keep_freed_memory() {
  constexpr int most_bytes = 1 << 30;
  mallopt(M_MMAP_THRESHOLD, most_bytes);
  mallopt(M_TRIM_THRESHOLD, most_bytes);
}

}  // namespace

int main(int argc, char** argv) {
  keep_freed_memory();
  std::signal(SIGXFSZ, SIG_IGN);  // a limit on file sizes shall be an error that cleans up, not the end
  try {
    return run(argc, argv);
  } catch (const Problem& problem) {
    std::cout.flush();
    std::cerr << "pivotfix: " << pivotfix::report::printable(problem.what()) << "\n";
    return exit_code(problem.kind());
  } catch (const std::filesystem::filesystem_error& error) {
    std::cerr << "pivotfix: " << pivotfix::report::printable(error.path1().string()) << ": "
              << error.code().message() << ". Choose another name.\n";
    return exit_code(ProblemKind::input);
  } catch (const std::bad_alloc&) {
    std::cerr << "pivotfix: There is not enough memory. Read fewer photos at the same time: --threads 1\n";
    return exit_code(ProblemKind::input);
  } catch (const std::exception& error) {
    std::cerr << "pivotfix: A defect of the program: " << error.what()
              << ". Please report it with the command and the files.\n";
    return exit_code(ProblemKind::internal);
  }
}
