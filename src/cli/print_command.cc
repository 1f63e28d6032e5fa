// SPDX-License-Identifier: Apache-2.0
#include <charconv>
#include <iostream>
#include <memory>

#include "base/problem.h"
#include "cli/command.h"
#include "job/whole_file.h"
#include "sheets/sheets.h"
#include "sheets/tag_plan.h"

namespace pivotfix {
namespace {

struct PrintOptions {
  std::string file = "sheets.pdf";
  std::string paper = "a4";
  std::string numbers{};
  std::vector<std::string> strips{};
  std::string side = "40 mm";
  std::string strip_length = "200 mm";
  bool heights = false;
  bool pointer = false;
  bool force = false;
};

[[noreturn]] void fail_numbers(const std::string& option, const std::string& text) {
  throw Problem(ProblemKind::usage, option + ": \"" + text + "\" is no list of tag numbers.",
                "Write it like 0-7,10,12.");
}

int whole_number(const std::string& option, std::string_view digits, const std::string& text) {
  int number = 0;
  const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), number);
  if (error != std::errc{} || end != digits.data() + digits.size() || digits.front() == '-')
    fail_numbers(option, text);
  return number;
}

// "0-7,10": numbers and ranges.
std::vector<int> number_list(const std::string& option, const std::string& text) {
  std::vector<int> numbers;
  std::string_view rest = text;
  while (true) {
    const std::size_t comma = rest.find(',');
    const std::string_view part = rest.substr(0, comma);
    const std::size_t dash = part.find('-');
    if (part.empty() || dash == 0 || dash == part.size() - 1) fail_numbers(option, text);
    const int first = whole_number(option, part.substr(0, dash), text);
    const int last =
        dash == std::string_view::npos ? first : whole_number(option, part.substr(dash + 1), text);
    if (last < first || last > 9999) fail_numbers(option, text);
    for (int number = first; number <= last; ++number) numbers.push_back(number);
    if (comma == std::string_view::npos) return numbers;
    rest.remove_prefix(comma + 1);
  }
}

SheetRequest request_from(const PrintOptions& options) {
  const double side_mm = length_option_mm("--side", options.side, LengthUnit::millimetre);
  const double strip_mm = length_option_mm("--strip-length", options.strip_length, LengthUnit::millimetre);
  SheetRequest request;
  if (options.numbers.empty() && options.strips.empty()) {
    const Paper paper = paper_option(options.paper);
    request = options.heights ? heights_sheets(paper) : default_sheets(paper);
    for (SheetTag& tag : request.tags) tag.side_mm = side_mm;
    for (SheetStrip& strip : request.strips) {
      strip.side_mm = side_mm;
      strip.centre_distance_mm = strip_mm;
    }
    return request;
  }
  if (options.heights)
    throw Problem(ProblemKind::usage, "--heights has tags and strips of its own.",
                  "Print others to another file, without --heights.");
  request.paper = paper_option(options.paper);
  if (!options.numbers.empty())
    for (const int number : number_list("--numbers", options.numbers))
      request.tags.push_back({number, side_mm});
  for (const std::string& text : options.strips) {
    const std::size_t dash = text.find('-');
    if (dash == std::string::npos || dash == 0 || dash == text.size() - 1)
      throw Problem(ProblemKind::usage, "--strip: \"" + text + "\" is no pair of tags.",
                    "Write it like 60-61.");
    request.strips.push_back({whole_number("--strip", std::string_view(text).substr(0, dash), text),
                              whole_number("--strip", std::string_view(text).substr(dash + 1), text), side_mm,
                              strip_mm});
  }
  return request;
}

void print_pointer(const PrintOptions& options) {
  if (!options.numbers.empty() || !options.strips.empty() || options.heights)
    throw Problem(ProblemKind::usage, "--pointer is a page of its own.",
                  "Print other tags to another file, without --pointer.");
  const Page page = pointer_page(paper_option(options.paper),
                                 length_option_mm("--side", options.side, LengthUnit::millimetre));
  check_may_write(options.file, options.force);
  write_whole_file(options.file, pointer_pdf(page));
  std::cout << "Wrote " << options.file
            << ": the pointer, 1 page. Print at 100 % and check the rulers with a steel rule.\n";
}

void run_print(const PrintOptions& options) {
  if (options.pointer) return print_pointer(options);
  const std::vector<Page> pages = lay_out_sheets(request_from(options));
  check_may_write(options.file, options.force);
  write_whole_file(options.file, sheets_pdf(pages));
  std::cout << "Wrote " << options.file << ": " << pages.size() << (pages.size() == 1 ? " page" : " pages")
            << ". Print at 100 % and check the rulers with a steel rule.\n";
}

}  // namespace

void add_print_command(CLI::App& app) {
  CLI::App* command = app.add_subcommand("print", "Make a PDF of tags and scale strips to print");
  const auto options = std::make_shared<PrintOptions>();
  command->add_option("-o,--output", options->file, "PDF file to write")->capture_default_str();
  command->add_option("--paper", options->paper, "a4 or letter")->capture_default_str();
  command->add_option("--numbers", options->numbers,
                      "Tags to print, such as 0-7,10 [all that \"pivotfix new\" names]");
  command->add_option("--strip", options->strips, "Scale strip with two tags, such as 60-61; may come again")
      ->allow_extra_args(false);
  command->add_option("--side", options->side, "Outer edge of a tag's black border")->capture_default_str();
  command->add_option("--strip-length", options->strip_length, "Centre to centre on a strip")
      ->capture_default_str();
  command->add_flag("--heights", options->heights,
                    "The tags that \"pivotfix new --heights\" names: also on the parts that move");
  command->add_flag("--pointer", options->pointer,
                    "The pointer's tags with how to build and use it: it touches what no tag reaches");
  command->add_flag("--force", options->force, "Replace the file if it exists");
  command->footer(
      std::string("Examples: pivotfix print --paper letter\n"
                  "          pivotfix print --heights -o heights.pdf\n"
                  "          pivotfix print --pointer -o pointer.pdf\n"
                  "          pivotfix print --numbers 14-17 --side \"25 mm\" -o small.pdf\n\n"
                  "Lengths may carry their unit (\"40 mm\", \"1.5 in\"); bare numbers are millimetres.\n"
                  "Print at 100 %, not \"fit to page\". Measure each strip from tick to tick with\n"
                  "callipers or a steel rule and write that length in the job file.\n\n") +
      exit_codes_help);
  command->callback([options] { run_print(*options); });
}

}  // namespace pivotfix
