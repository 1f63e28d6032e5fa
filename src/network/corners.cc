// SPDX-License-Identifier: Apache-2.0
#include "network/corners.h"

#include <Eigen/Cholesky>
#include <Eigen/Eigenvalues>
#include <Eigen/LU>
#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace pivotfix {

namespace {

using Eigen::Vector2d;

// normal . point = offset, with the offset's and the direction's variances; `middle` is where both are
// uncorrelated.
struct Line {
  Vector2d normal, middle;
  double offset_variance = 0.0, angle_variance = 0.0;
};

// How the points of all four edges scatter about their lines, px^2 (straightened), and how much alike they
// err.
struct PointScatter {
  double point_variance = 0.0;
  double freedom = 0.0;  // of that variance
  double alike = 1.0;
  std::array<double, 4> of_edge{};  // each edge's own variance
};

constexpr std::size_t fewest_points = 4;

// Total least squares: the smaller eigenvalue's direction is across.
struct PlainFit {
  Vector2d middle, normal;
  double squares_across = 0.0, squares_along = 0.0;
};

PlainFit plain_fit(const std::vector<Vector2d>& points, std::size_t count) {
  PlainFit fit;
  fit.middle.setZero();
  for (std::size_t i = 0; i < count; ++i) fit.middle += points[i] / static_cast<double>(count);
  Eigen::Matrix2d scatter = Eigen::Matrix2d::Zero();
  for (std::size_t i = 0; i < count; ++i)
    scatter += (points[i] - fit.middle) * (points[i] - fit.middle).transpose();
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> axes(scatter);
  fit.normal = axes.eigenvectors().col(0);
  fit.squares_across = std::max(0.0, axes.eigenvalues()[0]);
  fit.squares_along = axes.eigenvalues()[1];
  return fit;
}

// Neighbouring points of an edge err alike where a shadow, a neighbour or ringing bends the edge: by how much
// the mean of a stretch scatters more than independent points would let it (batch means: Law and Kelton,
// "Simulation Modeling and Analysis", chapter 9, from memory). One factor for all edges of a sighting, from
// those that are long enough to tell.
double alike_factor(const std::array<std::vector<Vector2d>, 4>& edges) {
  constexpr std::size_t stretches = 8;
  double of_means = 0.0, of_points = 0.0;
  double freedom_means = 0.0, freedom_points = 0.0;
  for (const auto& points : edges) {
    const std::size_t each = points.size() / stretches;
    if (each < 2) continue;
    const std::size_t count = each * stretches;
    const PlainFit fit = plain_fit(points, count);
    for (std::size_t block = 0; block < stretches; ++block) {
      double sum = 0.0;
      for (std::size_t i = block * each; i < (block + 1) * each; ++i)
        sum += fit.normal.dot(points[i] - fit.middle);
      of_means += sum * sum / static_cast<double>(each);
    }
    freedom_means += stretches - 2.0;
    of_points += fit.squares_across;
    freedom_points += static_cast<double>(count) - 2.0;
  }
  if (of_points <= 0.0) return 1.0;
  return std::max(1.0, of_means / freedom_means * freedom_points / of_points);
}

// A small, far or slanting tag has few points on each edge: its noise is told by all of them together.
PointScatter point_scatter(const std::array<std::vector<Vector2d>, 4>& edges) {
  PointScatter scatter;
  double squares = 0.0;
  for (std::size_t edge = 0; edge < edges.size(); ++edge) {
    const auto& points = edges[edge];
    if (points.size() < fewest_points) continue;
    const double of_edge = plain_fit(points, points.size()).squares_across;
    const double freedom = static_cast<double>(points.size()) - 2.0;
    scatter.of_edge[edge] = of_edge / freedom;
    squares += of_edge;
    scatter.freedom += freedom;
  }
  if (scatter.freedom > 0.0) scatter.point_variance = squares / scatter.freedom;
  scatter.alike = alike_factor(edges);
  return scatter;
}

// An edge that scatters far more than the others of its tag has no straight line to be found: another tag's
// paper or a finger covers part of it, or dirt. More points do not average that away; its line may be off by
// as much as its points are. Few points on an edge scatter by up to twice as much as others by chance.
double bend_variance(const PointScatter& scatter, std::size_t edge, const EdgeNoise& noise) {
  constexpr double by_chance = 4.0;
  std::array<double, 4> others = scatter.of_edge;
  std::swap(others[edge], others[3]);
  std::sort(others.begin(), others.begin() + 3);
  const double usual = std::max(others[1], noise.smallest_px * noise.smallest_px);
  return std::max(0.0, scatter.of_edge[edge] - by_chance * usual);
}

// `inside` tells which way is outwards.
std::optional<Line> fit_line(const std::vector<Vector2d>& points, const Vector2d& inside,
                             const EdgeNoise& noise, const PointScatter& scatter_of_all) {
  const auto count = static_cast<double>(points.size());
  if (points.size() < fewest_points) return std::nullopt;
  const PlainFit fit = plain_fit(points, points.size());
  Line line;
  line.middle = fit.middle;
  line.normal = fit.normal;
  if (line.normal.dot(fit.middle - inside) < 0.0) line.normal = -line.normal;
  // One edge's few points tell its noise poorly: those of all four count as this many more.
  const double borrowed_points = scatter_of_all.freedom > 0.0 ? 60.0 : 0.0;
  const double own_variance = (fit.squares_across + borrowed_points * scatter_of_all.point_variance) /
                              (count - 2.0 + borrowed_points);
  const double point_variance =
      scatter_of_all.alike * std::max(own_variance, noise.smallest_px * noise.smallest_px);
  const double length_square = 12.0 * fit.squares_along / count;
  if (length_square <= 0.0) return std::nullopt;
  const double line_variance = noise.line_px * noise.line_px;
  line.offset_variance = point_variance / count + line_variance;
  line.angle_variance = point_variance / fit.squares_along + 12.0 * line_variance / length_square;
  return line;
}

// Straight picture coordinates: what the lens would show without distortion.
std::optional<Vector2d> straightened(const Vector2d& pixel, const Lens& lens, const PhotoShift& shift) {
  const auto direction = direction_from_pixel(lens, shift, pixel);
  if (!direction) return std::nullopt;
  return Vector2d(*direction * lens.focal_px());
}

Vector2d bent(const Vector2d& straight, const Lens& lens, const PhotoShift& shift) {
  return pixel_from_direction(lens, shift, (straight / lens.focal_px()).homogeneous());
}

// d bent / d straight.
Eigen::Matrix2d bending(const Vector2d& straight, const Lens& lens, const PhotoShift& shift) {
  const auto derivatives = pixel_derivatives(lens, shift, (straight / lens.focal_px()).homogeneous());
  return derivatives.by_direction.leftCols<2>() / lens.focal_px();
}

// By how much a straight line's offset grows where the line, as bent there, moves outwards by one pixel.
double straight_per_pixel(const Eigen::Matrix2d& bending, const Vector2d& along) {
  return (bending * along).norm() / std::abs(bending.determinant());
}

struct Corner2 {
  Vector2d place;
  // d place / d(offset of the line before, its angle, offset of the line after, its angle)
  Eigen::Matrix<double, 2, 4> by_lines;
};

std::optional<Corner2> intersect(const Line& before, const Line& after) {
  Eigen::Matrix2d normals;
  normals << before.normal.transpose(), after.normal.transpose();
  if (std::abs(normals.determinant()) < 0.05) return std::nullopt;
  const Eigen::Matrix2d inverse = normals.inverse();
  Corner2 corner;
  corner.place = inverse * Vector2d(before.normal.dot(before.middle), after.normal.dot(after.middle));
  const auto along = [](const Line& line) { return Vector2d(-line.normal.y(), line.normal.x()); };
  // Turning a line by an angle about its middle moves the crossing against the distance along the line.
  corner.by_lines.col(0) = inverse.col(0);
  corner.by_lines.col(1) = -inverse.col(0) * along(before).dot(corner.place - before.middle);
  corner.by_lines.col(2) = inverse.col(1);
  corner.by_lines.col(3) = -inverse.col(1) * along(after).dot(corner.place - after.middle);
  return corner;
}

// The offset and the angle that a line in straight coordinates takes up when its bent image moves outwards by
// one pixel all along: at its two ends the lens stretches by different amounts.
Vector2d one_pixel_outwards(const Line& line, const Vector2d& from, const Eigen::Matrix2d& bent_at_from,
                            const Vector2d& to, const Eigen::Matrix2d& bent_at_to) {
  const double length = (to - from).norm();
  const Vector2d along = (to - from) / length;
  const double at_from = straight_per_pixel(bent_at_from, along);
  const double at_to = straight_per_pixel(bent_at_to, along);
  const double slope = (at_to - at_from) / length;
  const double at_middle = at_from + slope * along.dot(line.middle - from);
  // An angle turns the normal towards its left; that draws the line in ahead of its middle.
  const double turns = Vector2d(-line.normal.y(), line.normal.x()).dot(along) > 0.0 ? -1.0 : 1.0;
  return {at_middle, turns * slope};
}

// A tag's edges as a lens without distortion would show them, and where they cross: corner k lies on the edge
// before and on edge k.
struct StraightQuad {
  std::array<Line, 4> lines;
  std::array<Corner2, 4> corners;
};

std::optional<StraightQuad> straight_quad(const Sighting& sighting, const Lens& lens, const PhotoShift& shift,
                                          const EdgeNoise& noise) {
  const auto inside = straightened(sighting.centre_px, lens, shift);
  if (!inside) return std::nullopt;
  std::array<std::vector<Vector2d>, 4> points;
  for (int edge = 0; edge < 4; ++edge) {
    points[edge].reserve(sighting.edge_points[edge].size());
    for (const EdgePoint& point : sighting.edge_points[edge])
      if (const auto straight = straightened(point.point_px, lens, shift)) points[edge].push_back(*straight);
  }
  const PointScatter scatter = point_scatter(points);
  // What moves all four edges alike is an unknown anyway.
  const auto& doubt_px = sighting.rim_doubt_px;
  const double shared_doubt_px = *std::min_element(doubt_px.begin(), doubt_px.end());
  StraightQuad quad;
  for (std::size_t edge = 0; edge < 4; ++edge) {
    EdgeNoise of_edge = noise;
    of_edge.line_px = std::hypot(noise.line_px, doubt_px[edge] - shared_doubt_px,
                                 std::sqrt(bend_variance(scatter, edge, noise)));
    const auto line = fit_line(points[edge], *inside, of_edge, scatter);
    if (!line) return std::nullopt;
    quad.lines[edge] = *line;
  }
  for (int k = 0; k < 4; ++k) {
    const auto corner = intersect(quad.lines[(k + 3) % 4], quad.lines[k]);
    if (!corner) return std::nullopt;
    quad.corners[k] = *corner;
  }
  return quad;
}

}  // namespace

std::optional<MeasuredCorners> measure_corners(const Sighting& sighting, const Lens& lens,
                                               const PhotoShift& shift, const EdgeNoise& noise) {
  const auto quad = straight_quad(sighting, lens, shift, noise);
  if (!quad) return std::nullopt;
  const auto& [lines, corners] = *quad;
  std::array<Eigen::Matrix2d, 4> bent_by;
  for (int k = 0; k < 4; ++k) bent_by[k] = bending(corners[k].place, lens, shift);
  std::array<Vector2d, 4> pixel_outwards;  // of each line, its offset and angle
  for (int k = 0; k < 4; ++k)
    pixel_outwards[k] = one_pixel_outwards(lines[k], corners[k].place, bent_by[k], corners[(k + 1) % 4].place,
                                           bent_by[(k + 1) % 4]);
  MeasuredCorners measured;
  Eigen::Matrix<double, 8, 8> by_lines = Eigen::Matrix<double, 8, 8>::Zero();
  Eigen::Matrix<double, 8, 1> line_variance, outwards, pairwise, to_the_right, to_the_top;
  for (int k = 0; k < 4; ++k) {
    const int before = (k + 3) % 4;  // edge k runs from corner k to the next
    measured.corner_px[k] = bent(corners[k].place, lens, shift);
    const Eigen::Matrix<double, 2, 4> by = bent_by[k] * corners[k].by_lines;
    by_lines.block<2, 2>(2 * k, 2 * before) = by.leftCols<2>();
    by_lines.block<2, 2>(2 * k, 2 * k) = by.rightCols<2>();
    line_variance.segment<2>(2 * k) << lines[k].offset_variance, lines[k].angle_variance;
    const Vector2d by_before = by.leftCols<2>() * pixel_outwards[before];
    const Vector2d by_own = by.rightCols<2>() * pixel_outwards[k];
    outwards.segment<2>(2 * k) = by_before + by_own;
    to_the_right.segment<2>(2 * k) = (k == 1 || k == 2 ? 1.0 : -1.0) * (by_before + by_own);
    to_the_top.segment<2>(2 * k) = (k >= 2 ? 1.0 : -1.0) * (by_before + by_own);
    pairwise.segment<2>(2 * k) = (k % 2 == 0 ? 1.0 : -1.0) * (by_own - by_before);
  }
  // What moves the edges is where on the blurred step they are taken to be: in a blurred picture, and in one
  // of many more pixels than its optics resolve, both moves are larger than in one as sharp as usual.
  constexpr double usual_blur_px = 1.0;
  const double blurred = std::max(1.0, sighting.blur_px / usual_blur_px);
  const double common_shift_px = blurred * noise.common_shift_px;
  const double pair_shift_px = blurred * noise.pair_shift_px;
  measured.covariance_px2 = by_lines * line_variance.asDiagonal() * by_lines.transpose() +
                            common_shift_px * common_shift_px * outwards * outwards.transpose() +
                            pair_shift_px * pair_shift_px * pairwise * pairwise.transpose();
  if (sighting.white > noise.clipped_from_grey) {
    const double slant_shift_px = blurred * noise.slant_shift_px;
    measured.covariance_px2 +=
        slant_shift_px * slant_shift_px *
        (to_the_right * to_the_right.transpose() + to_the_top * to_the_top.transpose());
  }
  return measured;
}

std::optional<Vector2d> measure_centre(const Sighting& sighting, const Lens& lens, const PhotoShift& shift) {
  const auto quad = straight_quad(sighting, lens, shift, {});
  if (!quad) return std::nullopt;
  const auto& corners = quad->corners;
  const Vector2d from = corners[0].place;
  Eigen::Matrix2d diagonals;
  diagonals << corners[2].place - from, corners[1].place - corners[3].place;
  const Vector2d shares = diagonals.inverse() * (corners[1].place - from);
  if (!shares.allFinite()) return std::nullopt;  // parallel: no quadrilateral
  return bent(from + shares.x() * diagonals.col(0), lens, shift);
}

Eigen::MatrixXd square_root_information(const Eigen::MatrixXd& covariance) {
  const Eigen::LLT<Eigen::MatrixXd> factor(covariance);
  return factor.matrixL().solve(Eigen::MatrixXd::Identity(covariance.rows(), covariance.cols()));
}

}  // namespace pivotfix
