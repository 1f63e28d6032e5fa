// SPDX-License-Identifier: Apache-2.0
#include "cli/program.h"

#include <string>

#include "cli/command.h"

namespace pivotfix {

std::unique_ptr<CLI::App> make_program() {
  auto program = std::make_unique<CLI::App>(
      "Finds suspension pivots from photos of printed tags and tells which rod-end spacers to move.",
      "pivotfix");
  CLI::App& app = *program;
  app.set_version_flag("--version", std::string("pivotfix ") + program_version);
  app.require_subcommand(1);
  app.get_formatter()->column_width(34);
  app.footer(std::string("The usual way: print, new, take the photos, edit the job file, run.\n"
                         "\"pivotfix run --help\" and the like say more.\n\n") +
             exit_codes_help);
  add_print_command(app);
  add_new_command(app);
  add_locate_command(app);
  add_steer_command(app);
  add_shots_command(app);
  add_run_command(app);
  add_accept_command(app);
  add_lens_command(app);
  add_convert_command(app);
  add_compare_command(app);
  add_pool_command(app);
  return program;
}

}  // namespace pivotfix
