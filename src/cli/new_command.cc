// SPDX-License-Identifier: Apache-2.0
#include <iostream>
#include <memory>

#include "cli/command.h"
#include "cli/hardpoint_reading.h"
#include "job/job.h"
#include "job/whole_file.h"

namespace pivotfix {
namespace {

struct NewOptions {
  std::string file{};
  std::string side = "left";
  std::string layout = "strut";
  std::string units = "mm";
  std::string tag_side{};
  bool heights = false;
  bool force = false;
};

// As typed, with its unit.
std::string tag_side_option(const std::string& text, LengthUnit unit) {
  const double side_mm = length_option_mm("--tag-side", text, unit);
  if (!(side_mm >= least_tag_side_mm && side_mm <= most_tag_side_mm))
    throw Problem(ProblemKind::usage,
                  "--tag-side: \"" + text + "\" is no side of a tag, which may be " +
                      format_fixed(least_tag_side_mm, 0) + " to " + format_fixed(most_tag_side_mm, 0) +
                      " mm.",
                  "Check the unit: write it like --tag-side \"40 mm\".");
  return length_as_written(text, unit);
}

void run_new(const NewOptions& options) {
  if (!is_job_name(options.file))
    throw Problem(ProblemKind::usage, "\"" + options.file + "\": a job file's name ends in .toml.",
                  "Write it like front-left.toml.");
  NewJob wish;
  wish.side = from_option("--side", [&] { return side_from_name(options.side); });
  wish.layout = from_option("--layout", [&] { return layout_from_name(options.layout); });
  wish.unit = unit_option(options.units);
  if (!options.tag_side.empty()) wish.tag_side = tag_side_option(options.tag_side, wish.unit);
  wish.heights = options.heights;
  check_may_write(options.file, options.force);
  write_whole_file(options.file, new_job_text(wish));
  std::cout << "Wrote " << options.file
            << (options.heights ? ". Put the photos of each height in the folder that it names"
                                : ". Put the photos in a folder \"photos\" beside it")
            << " and write what you measured in place of each \"?\".\n";
}

}  // namespace

void add_new_command(CLI::App& app) {
  CLI::App* command = app.add_subcommand("new", "Write a commented job file to fill in");
  const auto options = std::make_shared<NewOptions>();
  command->add_option("file", options->file, "Job file to write, such as front-left.toml")
      ->required()
      ->option_text("FILE.toml");
  command->add_option("--side", options->side, "Side of the car: left or right")->capture_default_str();
  command->add_option("--layout", options->layout, layout_list(", "))->capture_default_str();
  command->add_option("--units", options->units, "Unit of bare numbers: mm or in")->capture_default_str();
  command->add_option("--tag-side", options->tag_side, "Side of the printed tags [40 mm]");
  command->add_flag("--heights", options->heights,
                    "For photos at several heights of the wheel: pivots that no tag reaches");
  command->add_flag("--force", options->force, "Replace the file if it exists");
  command->footer(
      std::string("Examples: pivotfix new front-left.toml --layout strut --side left\n"
                  "          pivotfix new front-right.toml --side right --heights\n\n"
                  "The tag numbers in it are those that \"pivotfix print\" prints, with --heights\n"
                  "those of \"pivotfix print --heights\"; docs/guide-under-the-car.md says how.\n"
                  "Every key is explained in docs/job-file.md.\n\n") +
      exit_codes_help);
  command->callback([options] { run_new(*options); });
}

}  // namespace pivotfix
