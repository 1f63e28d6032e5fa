// SPDX-License-Identifier: Apache-2.0
// Beside the way from photos to advice: flat boards to calibrate a lens with, as they are printed and as they
// are found in photos. A chessboard, a ChArUco board of any of OpenCV's dictionaries, or a grid of our tags.
//
// Board frame: millimetres in the board's plane, z = 0. Pixel (0, 0) is the centre of the first pixel.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "network/calibrate_lens.h"
#include "photos/photos.h"
#include "sheets/sheets.h"

namespace pivotfix {

enum class BoardKind { chessboard, charuco, tags };

struct Board {
  BoardKind kind = BoardKind::chessboard;
  int columns = 10;  // squares, or tags
  int rows = 7;
  double square_mm = 25.0;            // of a tag grid: from one tag's centre to the next
  double marker_mm = 18.0;            // outer edge of a marker's, or a tag's, black border
  std::string dictionary = "4X4_50";  // of a ChArUco board, as OpenCV calls it, without DICT_
  int first_tag = 100;                // of a tag grid; the others follow row by row
};

// Throws Problem(usage) for numbers that make no board, a marker that does not fit its square, or a
// dictionary that is not known or too small.
void check_board(const Board& board);

// "chessboard of 10 x 7 squares of 25 mm"
std::string words_of(const Board& board);

// For sheets to draw.
PrintedPattern board_print(const Board& board);

// The board's points in a photo: all inner corners of a chessboard or none; of the others as many as can be
// seen. Empty when there is no board, or too little of it.
std::optional<BoardView> find_board(const Photo& photo, const Board& board);

}  // namespace pivotfix
