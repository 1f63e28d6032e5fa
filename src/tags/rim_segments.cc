// SPDX-License-Identifier: Apache-2.0
#include "tags/rim_segments.h"

#include <algorithm>
#include <cmath>
#include <cstring>

#include "tags/four_floats.h"

namespace pivotfix {
namespace {

constexpr double straight_px = 1.3;   // pixel steps make up for 0.7 of it
constexpr double least_facing = 0.6;  // sides seen more slantwise are seen better from another side

// The rim as seen from one side: for each place along that side how deep it lies in the picture.
class SeenRim {
 public:
  enum class Along { rows, columns };

  // `outward`: -1 where the rim is seen from the side of small coordinates, 1 from that of large ones.
  SeenRim(const std::vector<int>& depth, int start, Along along, double outward)
      : depth_(depth), start_(start), along_(along), outward_(outward) {}

  std::size_t size() const { return depth_.size(); }
  Eigen::Vector2d outward() const {
    return along_ == Along::rows ? Eigen::Vector2d(outward_, 0.0) : Eigen::Vector2d(0.0, outward_);
  }
  Eigen::Vector2d point(std::size_t i) const {
    const double place = start_ + static_cast<double>(i);
    const double depth = depth_[i];
    return along_ == Along::rows ? Eigen::Vector2d(depth, place) : Eigen::Vector2d(place, depth);
  }

  // Splits where the rim is farthest from its chord (Ramer, Douglas and Peucker) and hands the straight
  // pieces of at least `least` places to `visit(first, last)`.
  template <typename Visit>
  void split(std::size_t first, std::size_t last, std::size_t least, const Visit& visit) const {
    while (last - first >= least) {
      const std::size_t at = farthest_from_chord(first, last);
      if (at == first) {
        visit(first, last);
        return;
      }
      split(first, at, least, visit);
      first = at;
    }
  }

 private:
  // `first` when all between lie along the chord.
  std::size_t farthest_from_chord(std::size_t first, std::size_t last) const {
    const auto steps = static_cast<float>(last - first);
    const auto rise = static_cast<float>(depth_[last] - depth_[first]);
    // Distances times the chord's length.
    const float farthest = largest_distance(first, last, steps, rise);
    const float tolerated_square =
        static_cast<float>(straight_px * straight_px) * (steps * steps + rise * rise);
    if (farthest * farthest <= tolerated_square) return first;
    const int* const depth = depth_.data() + first;
    std::size_t i = 1;
    while (distance(depth, i, steps, rise) < farthest) ++i;
    return first + i;
  }

  static float distance(const int* depth, std::size_t i, float steps, float rise) {
    return std::abs(static_cast<float>(depth[i] - depth[0]) * steps - static_cast<float>(i) * rise);
  }
  float largest_distance(std::size_t first, std::size_t last, float steps, float rise) const;

  const std::vector<int>& depth_;
  int start_;
  Along along_;
  double outward_;
};

// Four places at once; the last ones may be met twice.
float SeenRim::largest_distance(std::size_t first, std::size_t last, float steps, float rise) const {
  constexpr std::size_t group = 4;
  const int* const depth = depth_.data() + first;
  const std::size_t count = last - first + 1;
  float farthest = 0.0F;
  if (count < group) {
    for (std::size_t i = 1; i < count; ++i) farthest = std::max(farthest, distance(depth, i, steps, rise));
    return farthest;
  }
  FourFloats most{};
  const auto meet = [&](std::size_t i) {
    FourInts deep;
    std::memcpy(&deep, depth + i, sizeof deep);
    const FourFloats place = static_cast<float>(i) + FourFloats{0.0F, 1.0F, 2.0F, 3.0F};
    const FourFloats off = __builtin_convertvector(deep - depth[0], FourFloats) * steps - place * rise;
    const FourFloats far = off < 0.0F ? -off : off;
    most = far > most ? far : most;
  };
  for (std::size_t i = 0; i + group <= count; i += group) meet(i);
  meet(count - group);
  for (int lane = 0; lane < 4; ++lane) farthest = std::max(farthest, most[lane]);
  return farthest;
}

void add_segments(const SeenRim& rim, double least_length_px, std::vector<RimSegment>& segments) {
  // A rim of teeth takes time by the square of its length; no photo has a tag this long.
  constexpr std::size_t most_places = 10000;
  if (rim.size() < 3 || rim.size() > most_places) return;
  // A piece that is long enough and not too slanted has at least so many places.
  const auto least = static_cast<std::size_t>(std::max(2.0, std::floor(least_facing * least_length_px)));
  rim.split(0, rim.size() - 1, least, [&](std::size_t first, std::size_t last) {
    RimSegment segment;
    segment.length_px = (rim.point(last) - rim.point(first)).norm();
    if (segment.length_px < least_length_px) return;
    segment.line = line_through(rim.point(first), rim.point(last));
    const double facing = segment.line.normal.dot(rim.outward());
    if (std::abs(facing) < least_facing) return;
    if (facing < 0.0) {
      segment.line.normal = -segment.line.normal;
      segment.line.offset = -segment.line.offset;
    }
    segments.push_back(segment);
  });
}

Eigen::Vector2d middle_of_rows(const Rim& rim) {
  Eigen::Vector2d sum = Eigen::Vector2d::Zero();
  for (std::size_t r = 0; r < rim.first_x.size(); ++r)
    sum += Eigen::Vector2d(0.5 * (rim.first_x[r] + rim.last_x[r]), rim.top + static_cast<double>(r));
  return sum / static_cast<double>(rim.first_x.size());
}

// Something on an edge leaves two stretches of one line; a slanted side is seen from two sides.
bool on_one_line(const RimSegment& a, const RimSegment& b, const Eigen::Vector2d& middle) {
  const double reach = std::max(a.length_px, b.length_px);
  return (a.line.normal - b.line.normal).norm() < std::max(0.05, 2.0 / reach) &&
         std::abs(a.line.distance(middle) - b.line.distance(middle)) < 2.5;
}

}  // namespace

std::vector<RimSegment> straight_segments(const Rim& rim, double least_length_px, std::size_t most) {
  using Along = SeenRim::Along;
  std::vector<RimSegment> segments;
  add_segments({rim.first_x, rim.top, Along::rows, -1.0}, least_length_px, segments);
  add_segments({rim.last_x, rim.top, Along::rows, 1.0}, least_length_px, segments);
  add_segments({rim.highest_y, rim.left, Along::columns, -1.0}, least_length_px, segments);
  add_segments({rim.lowest_y, rim.left, Along::columns, 1.0}, least_length_px, segments);
  std::stable_sort(segments.begin(), segments.end(),
                   [](const RimSegment& a, const RimSegment& b) { return a.length_px > b.length_px; });
  const Eigen::Vector2d middle = middle_of_rows(rim);
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
