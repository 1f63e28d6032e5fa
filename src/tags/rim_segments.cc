// SPDX-License-Identifier: Apache-2.0
#include "tags/rim_segments.h"

#include <algorithm>
#include <cmath>

namespace pivotfix {
namespace {

using Chain = std::vector<Eigen::Vector2d>;

constexpr double straight_px = 1.3;  // pixel steps make up for 0.7 of it

// The rim seen from one side: one point for each row (or column), and the way out of the patch.
struct SeenRim {
  Chain points{};
  Eigen::Vector2d outward = Eigen::Vector2d::Zero();
};

SeenRim every_other(const std::vector<PixelPlace>& ends, std::size_t first, const Eigen::Vector2d& outward) {
  SeenRim rim;
  rim.outward = outward;
  for (std::size_t i = first; i < ends.size(); i += 2) rim.points.emplace_back(ends[i].x, ends[i].y);
  return rim;
}

// Splits where the chain is farthest from its chord (Ramer, Douglas and Peucker) and hands the straight
// pieces to `visit(first, last)`.
template <typename Visit>
void split(const Chain& chain, std::size_t first, std::size_t last, const Visit& visit) {
  if (last - first < 2) return;
  const Line chord = line_through(chain[first], chain[last]);
  double farthest = 0.0;
  std::size_t at = first;
  for (std::size_t i = first + 1; i < last; ++i) {
    const double distance = std::abs(chord.distance(chain[i]));
    if (distance > farthest) {
      farthest = distance;
      at = i;
    }
  }
  if (farthest <= straight_px) {
    visit(first, last);
    return;
  }
  split(chain, first, at, visit);
  split(chain, at, last, visit);
}

void add_segments(const SeenRim& rim, double least_length_px, std::vector<RimSegment>& segments) {
  if (rim.points.size() < 3) return;
  split(rim.points, 0, rim.points.size() - 1, [&](std::size_t first, std::size_t last) {
    const Eigen::Vector2d whole = rim.points[last] - rim.points[first];
    RimSegment segment;
    segment.length_px = whole.norm();
    if (segment.length_px < least_length_px) return;
    segment.line = line_through(rim.points[first], rim.points[last]);
    const double facing = segment.line.normal.dot(rim.outward);
    // Sides that are seen too slantwise from here are seen better from another side.
    if (std::abs(facing) < 0.6) return;
    if (facing < 0.0) {
      segment.line.normal = -segment.line.normal;
      segment.line.offset = -segment.line.offset;
    }
    segments.push_back(segment);
  });
}

// Something on an edge leaves two stretches of one line; a slanted side is seen from two sides.
bool on_one_line(const RimSegment& a, const RimSegment& b, const Eigen::Vector2d& middle) {
  const double reach = std::max(a.length_px, b.length_px);
  return (a.line.normal - b.line.normal).norm() < std::max(0.05, 2.0 / reach) &&
         std::abs(a.line.distance(middle) - b.line.distance(middle)) < 2.5;
}

}  // namespace

std::vector<RimSegment> straight_segments(const std::vector<PixelPlace>& row_ends,
                                          const std::vector<PixelPlace>& column_ends, double least_length_px,
                                          std::size_t most) {
  std::vector<RimSegment> segments;
  add_segments(every_other(row_ends, 0, {-1, 0}), least_length_px, segments);
  add_segments(every_other(row_ends, 1, {1, 0}), least_length_px, segments);
  add_segments(every_other(column_ends, 0, {0, -1}), least_length_px, segments);
  add_segments(every_other(column_ends, 1, {0, 1}), least_length_px, segments);
  std::stable_sort(segments.begin(), segments.end(),
                   [](const RimSegment& a, const RimSegment& b) { return a.length_px > b.length_px; });
  Eigen::Vector2d middle = Eigen::Vector2d::Zero();
  for (const PixelPlace& p : row_ends) middle += Eigen::Vector2d(p.x, p.y);
  middle /= static_cast<double>(row_ends.size());
  std::vector<RimSegment> distinct;
  for (const RimSegment& segment : segments) {
    const auto same = std::find_if(distinct.begin(), distinct.end(), [&](const RimSegment& longer) {
      return on_one_line(longer, segment, middle);
    });
    if (same == distinct.end()) {
      distinct.push_back(segment);
    } else {
      same->length_px += segment.length_px;
    }
  }
  std::stable_sort(distinct.begin(), distinct.end(),
                   [](const RimSegment& a, const RimSegment& b) { return a.length_px > b.length_px; });
  if (distinct.size() > most) distinct.resize(most);
  return distinct;
}

}  // namespace pivotfix
