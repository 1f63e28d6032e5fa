// SPDX-License-Identifier: Apache-2.0
#include "tags/quad_shape.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <limits>

#include "tags/rim_segments.h"

namespace pivotfix {
namespace {

using Polygon = std::vector<Eigen::Vector2d>;

void add_to_hull(const Eigen::Vector2d& point, std::size_t start, Polygon& hull) {
  while (hull.size() >= start + 2 && cross(hull.back() - hull[hull.size() - 2], point - hull.back()) >= 0.0)
    hull.pop_back();
  hull.push_back(point);
}

// In the turning sense of TagCorners: down along the rows' first pixels and up along their last (Andrew's
// monotone chain).
Polygon convex_hull(const Rim& rim) {
  const std::size_t rows = rim.first_x.size();
  const auto y = [&](std::size_t r) { return rim.top + static_cast<double>(r); };
  Polygon hull;
  for (std::size_t r = 0; r < rows; ++r) add_to_hull({rim.first_x[r], y(r)}, 0, hull);
  const bool blunt_below = rim.last_x[rows - 1] != rim.first_x[rows - 1];
  const bool blunt_above = rim.last_x[0] != rim.first_x[0];
  const std::size_t start = blunt_below ? hull.size() : hull.size() - 1;
  for (std::size_t r = blunt_below ? rows : rows - 1; r-- > 0;)
    add_to_hull({rim.last_x[r], y(r)}, start, hull);
  if (!blunt_above && hull.size() > 1) hull.pop_back();  // a single pixel on top stands first already
  return hull;
}

// Where the sides before and after side k meet when side k is left out; empty when they do not.
std::optional<Eigen::Vector2d> tip_over_side(const Polygon& polygon, std::size_t k) {
  const std::size_t n = polygon.size();
  const Eigen::Vector2d& before = polygon[(k + n - 1) % n];
  const Eigen::Vector2d& start = polygon[k];
  const Eigen::Vector2d& end = polygon[(k + 1) % n];
  const Eigen::Vector2d& after = polygon[(k + 2) % n];
  const Eigen::Vector2d along_before = start - before;
  const Eigen::Vector2d along_after = after - end;
  const double turn = cross(along_before, along_after);
  const double whole_turn = along_before.norm() * along_after.norm();
  // Both sides must still turn the same way, by less than half a turn together.
  if (!(turn < -0.02 * whole_turn)) return std::nullopt;
  return start + along_before * (cross(end - start, along_after) / turn);
}

// What leaving out a side of a polygon would come to.
struct LeftOut {
  double area = std::numeric_limits<double>::infinity();
  Eigen::Vector2d tip = Eigen::Vector2d::Zero();
};

LeftOut leave_out(const Polygon& polygon, std::size_t k) {
  const auto tip = tip_over_side(polygon, k);
  if (!tip) return {};
  const std::size_t next = (k + 1) % polygon.size();
  return {std::abs(cross(polygon[next] - polygon[k], *tip - polygon[k])), *tip};
}

// Leaves out, again and again, the side whose leaving adds the least area. What is left of a hull with
// rounded corners are its four long sides.
std::optional<TagCorners> reduce_to_four(Polygon polygon) {
  std::vector<LeftOut> without;
  for (std::size_t k = 0; k < polygon.size(); ++k) without.push_back(leave_out(polygon, k));
  while (polygon.size() > 4) {
    const auto least = std::min_element(without.begin(), without.end(),
                                        [](const LeftOut& a, const LeftOut& b) { return a.area < b.area; });
    if (!std::isfinite(least->area)) return std::nullopt;
    const auto k = static_cast<std::size_t>(least - without.begin());
    const auto next = static_cast<std::ptrdiff_t>((k + 1) % polygon.size());
    polygon[k] = least->tip;
    polygon.erase(polygon.begin() + next);
    without.erase(without.begin() + next);
    // The corner that moved belongs to four sides and their neighbours.
    const std::size_t n = polygon.size();
    const std::size_t moved = next == 0 ? k - 1 : k;
    for (std::size_t i = 0; i < 4; ++i) {
      const std::size_t side = (moved + n - 2 + i) % n;
      without[side] = leave_out(polygon, side);
    }
  }
  if (polygon.size() != 4) return std::nullopt;
  return TagCorners{polygon[0], polygon[1], polygon[2], polygon[3]};
}

// Sums over the points of the rim that lie along a side.
struct PointsAlong {
  Eigen::Vector2d a = Eigen::Vector2d::Zero();
  Eigen::Vector2d along = Eigen::Vector2d::UnitX();
  Eigen::Vector2d normal = Eigen::Vector2d::UnitY();
  double first_px = 0.0;  // from a
  double last_px = 0.0;
  double tolerance_px = 0.0;

  Eigen::Vector2d sum = Eigen::Vector2d::Zero();  // from a
  Eigen::Matrix2d squares = Eigen::Matrix2d::Zero();
  int count = 0;

  void add(double x, double y) {
    const Eigen::Vector2d from_a(x - a.x(), y - a.y());
    const double place = along.dot(from_a);
    if (place < first_px || place > last_px || std::abs(normal.dot(from_a)) > tolerance_px) return;
    sum += from_a;
    squares += from_a * from_a.transpose();
    ++count;
  }
};

struct IndexRange {
  int first = 0;
  int last = -1;
};

// Rows (or columns) between two places, among `count` that begin with `start`.
IndexRange between(double one, double other, int start, std::size_t count) {
  const double least = std::max(std::floor(std::min(one, other)) - start, 0.0);
  const double most = std::min(std::ceil(std::max(one, other)) - start, static_cast<double>(count) - 1.0);
  return {static_cast<int>(least), static_cast<int>(most)};
}

// Total least squares through the rim's points that lie along the side from a to b, without its ends. Empty
// when too little of the side has points.
std::optional<PictureLine> fit_side(const Rim& rim, const Eigen::Vector2d& a, const Eigen::Vector2d& b,
                                    double tolerance_px) {
  constexpr double least_covered = 0.35;
  const double length = (b - a).norm();
  const PictureLine side = line_through(a, b);  // its normal points into the patch
  const double margin = std::min(0.1 * length, 6.0);
  PointsAlong points;
  points.a = a;
  points.along = (b - a) / length;
  points.normal = side.normal;
  points.first_px = margin;
  points.last_px = length - margin;
  points.tolerance_px = tolerance_px;
  const std::vector<int>& x_of_row = side.normal.x() > 0.0 ? rim.first_x : rim.last_x;
  const IndexRange rows = between(a.y(), b.y(), rim.top, x_of_row.size());
  for (int r = rows.first; r <= rows.last; ++r) points.add(x_of_row[r], rim.top + r);
  const std::vector<int>& y_of_column = side.normal.y() > 0.0 ? rim.highest_y : rim.lowest_y;
  const IndexRange columns = between(a.x(), b.x(), rim.left, y_of_column.size());
  for (int c = columns.first; c <= columns.last; ++c) points.add(rim.left + c, y_of_column[c]);
  // The rim has one pixel for each row and one for each column that the side crosses.
  const double steps = (length - 2.0 * margin) * points.along.cwiseAbs().sum();
  if (points.count < 4 || points.count < least_covered * steps) return std::nullopt;
  const Eigen::Vector2d mean = points.sum / points.count;
  const Eigen::Matrix2d scatter = points.squares - points.count * mean * mean.transpose();
  PictureLine line;
  line.normal = least_direction(scatter);
  if (line.normal.dot(side.normal) < 0.0) line.normal = -line.normal;
  line.offset = line.normal.dot(a + mean);
  return line;
}

std::optional<TagCorners> fit_sides(const Rim& rim, const TagCorners& corner, double tolerance_px,
                                    double outward_px) {
  std::array<PictureLine, 4> edge;
  for (int k = 0; k < 4; ++k) {
    const auto line = fit_side(rim, corner[k], corner[(k + 1) % 4], tolerance_px);
    if (!line) return std::nullopt;
    edge[k] = *line;
    // The normal points into the patch: a smaller offset moves the side out.
    edge[k].offset -= outward_px;
  }
  auto fitted = corners_of_edges(edge);
  if (!fitted || !is_convex(*fitted)) return std::nullopt;
  return fitted;
}

// About the pixels in a polygon through pixel centres: its area and half of what its rim has.
double pixels_in(const Polygon& polygon) {
  double twice_area = 0.0;
  double around = 0.0;
  for (std::size_t k = 0; k < polygon.size(); ++k) {
    const Eigen::Vector2d& next = polygon[(k + 1) % polygon.size()];
    twice_area += cross(polygon[k], next);
    around += (next - polygon[k]).cwiseAbs().maxCoeff();
  }
  return 0.5 * std::abs(twice_area) + 0.5 * around + 1.0;
}

double pixels_between(const std::vector<int>& first, const std::vector<int>& last) {
  double sum = 0.0;
  for (std::size_t r = 0; r < first.size(); ++r) sum += last[r] - first[r] + 1;
  return sum;
}

enum class PatchShape { no_tag, convex, hollow };

// Of a tag's 64 cells 10 to 25 are white: a patch that fills its hull is none. One that is hollow, seen from
// the left and right, may still be a tag that something long and dark touches.
PatchShape shape_of(const DarkPatch& patch, const Rim& rim, const Polygon& hull) {
  constexpr double most_filled = 0.94;
  constexpr double least_convex = 0.75;
  if (hull.size() < 4) return PatchShape::no_tag;
  const double pixels = pixels_in(hull);
  if (patch.dark_px >= most_filled * pixels) return PatchShape::no_tag;
  const bool convex = pixels_between(rim.first_x, rim.last_x) >= least_convex * pixels;
  return convex ? PatchShape::convex : PatchShape::hollow;
}

std::optional<TagCorners> fit_to_rim(const Rim& rim, const TagCorners& rough) {
  const auto better = fit_sides(rim, rough, std::max(1.5, 0.03 * shortest_side(rough)), 0.0);
  if (!better) return std::nullopt;
  return fit_sides(rim, *better, 1.2, 0.5);
}

// Bottom, right, top, left: the outward normals of a tag's edges turn from x towards minus y.
double place_in_turn(const RimSegment& segment) {
  return -std::atan2(segment.line.normal.y(), segment.line.normal.x());
}

constexpr unsigned most_segments = 8;
constexpr unsigned choices_of_any = 1U << most_segments;

// All choices of four of the segments, as bits; those of n segments are those below 2^n.
constexpr auto choices_of_four = [] {
  std::array<unsigned, 70> choices{};
  std::size_t count = 0;
  for (unsigned bits = 0; bits < choices_of_any; ++bits)
    if (std::popcount(bits) == 4) choices[count++] = bits;
  return choices;
}();

// A quad's edges turn the same way at each corner.
bool turn_alike(const std::array<PictureLine, 4>& edge) {
  for (int k = 0; k < 4; ++k)
    if (cross(edge[k].normal, edge[(k + 1) % 4].normal) > -0.05) return false;
  return true;
}

struct FourSegments {
  TagCorners corner{};
  double length_px = 0.0;
};

// Those choices that make up a quad, the ones with the longest segments first. `segments` in the order of the
// edges of TagCorners.
std::vector<FourSegments> quads_of(const std::vector<RimSegment>& segments, double smallest_side_px) {
  constexpr double least_covered = 0.6;  // of the four sides together
  std::vector<FourSegments> quads;
  for (const unsigned bits : choices_of_four) {
    if (bits >= (1U << segments.size())) break;
    std::array<PictureLine, 4> edge;
    double length_px = 0.0;
    std::size_t k = 0;
    for (unsigned left = bits; left != 0; left &= left - 1) {
      const RimSegment& segment = segments[static_cast<std::size_t>(std::countr_zero(left))];
      edge[k++] = segment.line;
      length_px += segment.length_px;
    }
    if (!turn_alike(edge)) continue;
    const auto corner = corners_of_edges(edge);
    if (!corner || !is_convex(*corner) || shortest_side(*corner) < 0.4 * smallest_side_px) continue;
    double around_px = 0.0;
    for (int i = 0; i < 4; ++i) around_px += ((*corner)[(i + 1) % 4] - (*corner)[i]).norm();
    if (length_px >= least_covered * around_px) quads.push_back({*corner, length_px});
  }
  std::stable_sort(quads.begin(), quads.end(),
                   [](const FourSegments& a, const FourSegments& b) { return a.length_px > b.length_px; });
  return quads;
}

// For a patch that is four-sided but for something lying on an edge: choices of four straight stretches of
// the rim, those with the longest stretches first.
std::vector<TagCorners> four_sides_among(const Rim& rim, double smallest_side_px) {
  constexpr std::size_t most_choices = 4;
  auto segments = straight_segments(rim, 0.3 * smallest_side_px, most_segments);
  if (segments.size() < 4) return {};
  std::stable_sort(segments.begin(), segments.end(), [](const RimSegment& a, const RimSegment& b) {
    return place_in_turn(a) < place_in_turn(b);
  });
  std::vector<TagCorners> quads;
  for (const FourSegments& choice : quads_of(segments, smallest_side_px)) {
    if (quads.size() == most_choices) break;
    if (const auto quad = fit_to_rim(rim, choice.corner)) quads.push_back(*quad);
  }
  return quads;
}

}  // namespace

std::vector<TagCorners> four_sides_of(const DarkPatch& patch, const PatchWish& wish) {
  Rim rim = patch.rows_of_rim();
  const Polygon hull = convex_hull(rim);
  const PatchShape shape = shape_of(patch, rim, hull);
  const int longest = std::max(patch.right - patch.left + 1, static_cast<int>(rim.first_x.size()));
  const bool may_be_touched = longest >= wish.least_touched_px();
  if (shape == PatchShape::no_tag || (shape == PatchShape::hollow && !may_be_touched)) return {};
  patch.add_columns(rim);
  if (shape == PatchShape::convex) {
    const auto rough = reduce_to_four(hull);
    if (rough && is_convex(*rough))
      if (const auto quad = fit_to_rim(rim, *rough)) return {*quad};
  }
  return may_be_touched ? four_sides_among(rim, wish.smallest_side_px) : std::vector<TagCorners>{};
}

}  // namespace pivotfix
