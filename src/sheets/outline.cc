// SPDX-License-Identifier: Apache-2.0
#include "sheets/outline.h"

#include <algorithm>

#include "tags/tags.h"

namespace pivotfix {
namespace {

struct Edge {
  GridPoint from;
  GridPoint to;
};

// Unit edges between black and white, black always on the same hand, so that they chain head to tail.
std::vector<Edge> border_edges(int tag_number) {
  const auto pattern = tag_pattern(tag_number);
  const auto black = [&pattern](int column, int row) {
    return column >= 0 && row >= 0 && column < tag_cells && row < tag_cells &&
           pattern[static_cast<std::size_t>(row)][static_cast<std::size_t>(column)];
  };
  std::vector<Edge> edges;
  for (int row = 0; row < tag_cells; ++row)
    for (int column = 0; column < tag_cells; ++column) {
      if (!black(column, row)) continue;
      if (!black(column, row - 1)) edges.push_back({{column, row}, {column + 1, row}});
      if (!black(column + 1, row)) edges.push_back({{column + 1, row}, {column + 1, row + 1}});
      if (!black(column, row + 1)) edges.push_back({{column + 1, row + 1}, {column, row + 1}});
      if (!black(column - 1, row)) edges.push_back({{column, row + 1}, {column, row}});
    }
  return edges;
}

bool straight(const GridPoint& a, const GridPoint& b, const GridPoint& c) {
  return (a.column == b.column && b.column == c.column) || (a.row == b.row && b.row == c.row);
}

std::vector<GridPoint> corners_of(const std::vector<GridPoint>& loop) {
  std::vector<GridPoint> corners;
  for (std::size_t i = 0; i < loop.size(); ++i)
    if (!straight(loop[(i + loop.size() - 1) % loop.size()], loop[i], loop[(i + 1) % loop.size()]))
      corners.push_back(loop[i]);
  return corners;
}

}  // namespace

std::vector<std::vector<GridPoint>> black_outlines(int tag_number) {
  std::vector<Edge> edges = border_edges(tag_number);
  std::vector<std::vector<GridPoint>> loops;
  while (!edges.empty()) {
    std::vector<GridPoint> loop{edges.back().from};
    GridPoint end = edges.back().to;
    edges.pop_back();
    while (end != loop.front()) {
      loop.push_back(end);
      const auto next =
          std::find_if(edges.begin(), edges.end(), [&](const Edge& e) { return e.from == end; });
      end = next->to;
      edges.erase(next);
    }
    loops.push_back(corners_of(loop));
  }
  return loops;
}

}  // namespace pivotfix
