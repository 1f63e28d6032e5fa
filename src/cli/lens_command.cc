// SPDX-License-Identifier: Apache-2.0
#include <iostream>
#include <memory>

#include "base/side_by_side.h"
#include "boards/boards.h"
#include "cli/command.h"
#include "cli/progress.h"
#include "job/job.h"
#include "job/whole_file.h"
#include "report/report.h"

namespace pivotfix {
namespace {

struct LensOptions {
  std::vector<std::string> photos{};
  std::string file = "lens.yml";
  std::string picture{};
  std::string print{};
  std::string paper = "a4";
  std::string board = "chessboard";
  std::string squares = "10x7";
  std::string square = "25 mm";
  std::string marker{};
  std::string dictionary = "4X4_50";
  int first_tag = 100;
  bool lens_moves = false;
  bool force = false;
};

BoardKind kind_from(const std::string& name) {
  if (name == "chessboard") return BoardKind::chessboard;
  if (name == "charuco") return BoardKind::charuco;
  if (name == "tags") return BoardKind::tags;
  throw Problem(ProblemKind::usage, "--board: \"" + name + "\" is no board.",
                "Known are chessboard, charuco and tags.");
}

// "10x7"
std::pair<int, int> squares_from(const std::string& text) {
  const std::size_t cross = text.find('x');
  const auto number = [&](std::string_view digits) {
    if (digits.empty() || digits.size() > 3 ||
        digits.find_first_not_of("0123456789") != std::string_view::npos)
      throw Problem(ProblemKind::usage, "--squares: \"" + text + "\" is no number of squares.",
                    "Write it like 10x7.");
    return std::stoi(std::string(digits));
  };
  if (cross == std::string::npos) number("");
  return {number(std::string_view(text).substr(0, cross)), number(std::string_view(text).substr(cross + 1))};
}

Board board_from(const LensOptions& options) {
  Board board;
  board.kind = kind_from(options.board);
  std::tie(board.columns, board.rows) = squares_from(options.squares);
  board.square_mm = length_option_mm("--square", options.square, LengthUnit::millimetre);
  board.marker_mm = options.marker.empty()
                        ? 0.7 * board.square_mm
                        : length_option_mm("--marker", options.marker, LengthUnit::millimetre);
  board.dictionary = options.dictionary;
  board.first_tag = options.first_tag;
  check_board(board);
  return board;
}

void print_board(const LensOptions& options, const Board& board) {
  const Paper paper = paper_option(options.paper);
  check_fits_paper(board.columns * board.square_mm, board.rows * board.square_mm, paper);
  const std::string pdf = pattern_pdf(board_print(board), paper, words_of(board));
  check_may_write(options.print, options.force);
  write_whole_file(options.print, pdf);
  std::cout << "Wrote " << options.print << ": " << words_of(board)
            << ". Print at 100 %, glue it flat on something stiff, check a row with a steel rule.\n";
}

struct FoundBoards {
  std::vector<BoardView> views{};
  std::vector<std::string> without{};  // photos that show no board
};

FoundBoards find_boards(const std::vector<std::filesystem::path>& files, const Board& board,
                        Progress& progress) {
  std::vector<std::optional<BoardView>> views(files.size());
  progress.show("looking for the board in " + std::to_string(files.size()) + " photos");
  side_by_side(files.size(), cores(),
               [&](std::size_t i) { views[i] = find_board(read_photo(files[i], files[i].string()), board); });
  progress.clear();
  FoundBoards found;
  for (std::size_t i = 0; i < files.size(); ++i) {
    if (views[i])
      found.views.push_back(std::move(*views[i]));
    else
      found.without.push_back(files[i].string());
  }
  return found;
}

void run_lens(const LensOptions& options) {
  const Board board = board_from(options);
  if (!options.print.empty()) {
    print_board(options, board);
    if (options.photos.empty()) return;
  }
  if (options.photos.empty())
    throw Problem(ProblemKind::usage, "No photos are named.",
                  "Name photos of the board, or print one: pivotfix lens --print board.pdf");
  check_may_write(options.file, options.force);
  if (!options.picture.empty()) check_may_write(options.picture, options.force);
  Progress progress;
  const FoundBoards found = find_boards(photos_named(options.photos), board, progress);
  if (found.views.empty())
    throw Problem(ProblemKind::refused, "No photo shows a " + words_of(board) + ".",
                  "Check --board, --squares and --dictionary, and that the photos are sharp.");
  const LensCalibration calibration = calibrate_lens(found.views, options.lens_moves);
  std::vector<FileToWrite> files{{options.file, lens_file_text(calibration.file)}};
  if (!options.picture.empty()) files.push_back({options.picture, coverage_svg(calibration, found.views)});
  write_whole_files(files);
  for (const std::string& photo : found.without)
    std::cerr << "pivotfix: note: " << photo << " shows no board.\n";
  std::cout << lens_text(calibration) << "\nWrote " << options.file << ". In a job file: lenses = [\""
            << options.file << "\"]\n";
}

}  // namespace

void add_lens_command(CLI::App& app) {
  CLI::App* command = app.add_subcommand("lens", "Calibrate a camera's lens from photos of a flat board");
  const auto options = std::make_shared<LensOptions>();
  command->add_option("photos", options->photos, "Photos of the board, or folders of them")
      ->option_text("PHOTO...");
  command->add_option("-o,--output", options->file, "Lens file to write")->capture_default_str();
  command->add_option("--picture", options->picture, "Write a picture of what the photos cover, too")
      ->option_text("FILE.svg");
  command->add_option("--print", options->print, "Write the board as a PDF to print")
      ->option_text("FILE.pdf");
  command->add_option("--paper", options->paper, "a4 or letter")->capture_default_str();
  command->add_option("--board", options->board, "chessboard, charuco or tags")->capture_default_str();
  command->add_option("--squares", options->squares, "Squares (or tags) across and down")
      ->capture_default_str();
  command->add_option("--square", options->square, "Side of a square; of tags, centre to centre")
      ->capture_default_str();
  command->add_option("--marker", options->marker, "Outer edge of a marker or tag [0.7 of the square]");
  command->add_option("--dictionary", options->dictionary, "Markers of a charuco board")
      ->capture_default_str();
  command->add_option("--first-tag", options->first_tag, "Number of the first tag")->capture_default_str();
  command->add_flag("--stabilised", options->lens_moves,
                    "The camera has a stabiliser: the lens sits a little elsewhere in each photo");
  command->add_flag("--force", options->force, "Replace files that exist");
  command->footer(
      std::string("Examples: pivotfix lens --print board.pdf\n"
                  "          pivotfix lens photos/ --square \"24.9 mm\" -o pocket-lens.yml\n\n"
                  "Not needed for a job, which works its lens out from its own photos; it helps where\n"
                  "they are few or taken from one side. Photograph the board fifteen times: close, so\n"
                  "that it fills the picture, tilted each way, also in the corners, some with the phone\n"
                  "turned by a quarter, at the focus and zoom of the job. OpenCV reads the file, too.\n\n") +
      exit_codes_help);
  command->callback([options] { run_lens(*options); });
}

}  // namespace pivotfix
