// SPDX-License-Identifier: Apache-2.0
#include "boards/boards.h"

#include <algorithm>

#include "base/problem.h"
#include "base/units.h"
#include "boards/charuco.h"
#include "tags/tags.h"

namespace pivotfix {

namespace {

[[noreturn]] void fail(const std::string& what, const std::string& remedy) {
  throw Problem(ProblemKind::usage, what, remedy);
}

void check_tag_numbers(const Board& board) {
  const int last = board.first_tag + board.columns * board.rows - 1;
  if (board.first_tag < 0 || last >= tag_family_size)
    fail("The board would need the tags " + std::to_string(board.first_tag) + " to " + std::to_string(last) +
             "; there are 0 to " + std::to_string(tag_family_size - 1) + ".",
         "Choose another --first-tag, or fewer tags.");
}

PrintedPattern chessboard_print(const Board& board) {
  PrintedPattern print{board.columns * board.square_mm, board.rows * board.square_mm, {}};
  for (int row = 0; row < board.rows; ++row)
    for (int column = 0; column < board.columns; ++column)
      if ((row + column) % 2 == 0)
        print.black.push_back(
            {column * board.square_mm, row * board.square_mm, board.square_mm, board.square_mm});
  return print;
}

PrintedPattern tag_print(const Board& board) {
  PrintedPattern print{board.columns * board.square_mm, board.rows * board.square_mm, {}};
  const double cell_mm = board.marker_mm / tag_cells;
  const double margin_mm = 0.5 * (board.square_mm - board.marker_mm);
  for (int row = 0; row < board.rows; ++row)
    for (int column = 0; column < board.columns; ++column) {
      const auto cells = tag_pattern(board.first_tag + row * board.columns + column);
      for (int r = 0; r < tag_cells; ++r)
        for (int c = 0; c < tag_cells; ++c)
          if (cells[r][c])
            print.black.push_back({column * board.square_mm + margin_mm + c * cell_mm,
                                   row * board.square_mm + margin_mm + r * cell_mm, cell_mm, cell_mm});
    }
  return print;
}

// Centres only: they stay put whatever the camera's tone curve does to the edges. The lens that bends them is
// found from the sightings.
std::optional<BoardView> find_tag_board(const Photo& photo, const Board& board) {
  BoardView view{photo.name, photo.camera, {}, {}};
  const std::vector<Sighting> sightings = find_tags(photo.picture);
  // Of two tags of one number, one is not the board's.
  const auto is_there_twice = [&](int number) {
    return std::count_if(sightings.begin(), sightings.end(),
                         [&](const Sighting& sighting) { return sighting.tag_number == number; }) > 1;
  };
  for (const Sighting& sighting : sightings) {
    const int place = sighting.tag_number - board.first_tag;
    if (place < 0 || place >= board.columns * board.rows || is_there_twice(sighting.tag_number)) continue;
    const int column = place % board.columns, row = place / board.columns;
    view.points_board_mm.emplace_back(board.square_mm * (column + 0.5), -board.square_mm * (row + 0.5), 0.0);
    view.points_px.push_back(sighting.centre_px);
    view.sightings.push_back(sighting);
  }
  constexpr std::size_t fewest_tags = 8;
  if (view.points_px.size() < fewest_tags) return std::nullopt;
  return view;
}

}  // namespace

void check_board(const Board& board) {
  constexpr int least = 3, most = 100;
  if (board.columns < least || board.rows < least || board.columns > most || board.rows > most)
    fail("A board of " + std::to_string(board.columns) + " x " + std::to_string(board.rows) + " is none.",
         "Give 3 to 100 squares each way, such as --squares 10x7.");
  if (!(board.square_mm >= 1.0 && board.square_mm <= 1000.0))
    fail("A square of " + format_fixed(board.square_mm, 2) + " mm is none.", "Give 1 to 1000 mm.");
  if (board.kind == BoardKind::chessboard && board.columns % 2 == board.rows % 2)
    fail("A chessboard with as many odd (or even) squares each way looks the same upside down.",
         "Give an odd number one way and an even one the other, such as --squares 10x7.");
  if (board.kind == BoardKind::chessboard) return;
  if (!(board.marker_mm > 0.0 && board.marker_mm <= 0.9 * board.square_mm))
    fail("A marker of " + format_fixed(board.marker_mm, 2) + " mm leaves no white in a square of " +
             format_fixed(board.square_mm, 2) + " mm.",
         "Give --marker at most nine tenths of --square.");
  if (board.kind == BoardKind::tags)
    check_tag_numbers(board);
  else
    check_charuco(board);
}

std::string words_of(const Board& board) {
  const std::string size = std::to_string(board.columns) + " x " + std::to_string(board.rows);
  const std::string square = format_length(board.square_mm, LengthUnit::millimetre, 1);
  switch (board.kind) {
    case BoardKind::chessboard:
      return "chessboard of " + size + " squares of " + square;
    case BoardKind::charuco:
      return "ChArUco board of " + size + " squares of " + square + ", dictionary " + board.dictionary;
    case BoardKind::tags:
      break;
  }
  return "grid of " + size + " tags from " + std::to_string(board.first_tag) + ", " + square + " apart";
}

PrintedPattern board_print(const Board& board) {
  check_board(board);
  switch (board.kind) {
    case BoardKind::chessboard:
      return chessboard_print(board);
    case BoardKind::charuco:
      return charuco_print(board);
    case BoardKind::tags:
      break;
  }
  return tag_print(board);
}

std::optional<BoardView> find_board(const Photo& photo, const Board& board) {
  switch (board.kind) {
    case BoardKind::chessboard:
      return find_chessboard(photo, board);
    case BoardKind::charuco:
      return find_charuco(photo, board);
    case BoardKind::tags:
      break;
  }
  return find_tag_board(photo, board);
}

}  // namespace pivotfix
