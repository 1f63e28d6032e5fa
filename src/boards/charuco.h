// SPDX-License-Identifier: Apache-2.0
// What OpenCV reads for us. Private to this folder.
#pragma once

#include "boards/boards.h"

namespace pivotfix {

void check_charuco(const Board& board);
PrintedPattern charuco_print(const Board& board);
std::optional<BoardView> find_charuco(const Photo& photo, const Board& board);
std::optional<BoardView> find_chessboard(const Photo& photo, const Board& board);

}  // namespace pivotfix
