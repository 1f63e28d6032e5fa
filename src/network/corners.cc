// SPDX-License-Identifier: Apache-2.0
#include "network/corners.h"

#include <Eigen/Cholesky>
#include <Eigen/Eigenvalues>
#include <Eigen/LU>
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
  double alike = 1.0;
};

// Neighbouring points of an edge err alike where a shadow, a neighbour or ringing bends the edge: by how much
// the mean of a stretch scatters more than independent points would let it (batch means: Law and Kelton,
// "Simulation Modeling and Analysis", chapter 9, from memory). One factor for all edges of a sighting.
PointScatter point_scatter(const std::array<std::vector<Vector2d>, 4>& edges) {
  constexpr std::size_t stretches = 8;
  double of_means = 0.0, of_points = 0.0;
  double freedom_means = 0.0, freedom_points = 0.0;
  for (const auto& points : edges) {
    const std::size_t each = points.size() / stretches;
    if (each < 2) continue;
    const std::size_t count = each * stretches;
    Vector2d middle = Vector2d::Zero();
    for (std::size_t i = 0; i < count; ++i) middle += points[i] / static_cast<double>(count);
    Eigen::Matrix2d scatter = Eigen::Matrix2d::Zero();
    for (std::size_t i = 0; i < count; ++i)
      scatter += (points[i] - middle) * (points[i] - middle).transpose();
    const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> axes(scatter);
    const Vector2d normal = axes.eigenvectors().col(0);
    for (std::size_t block = 0; block < stretches; ++block) {
      double sum = 0.0;
      for (std::size_t i = block * each; i < (block + 1) * each; ++i) sum += normal.dot(points[i] - middle);
      of_means += sum * sum / static_cast<double>(each);
    }
    freedom_means += stretches - 2.0;
    of_points += axes.eigenvalues()[0];
    freedom_points += static_cast<double>(count) - 2.0;
  }
  if (of_points <= 0.0) return {};
  const double point_variance = of_points / freedom_points;
  return {point_variance, std::max(1.0, of_means / freedom_means / point_variance)};
}

// Total least squares (smallest eigenvector of the scatter matrix); `inside` tells which way is outwards.
std::optional<Line> fit_line(const std::vector<Vector2d>& points, const Vector2d& inside,
                             const EdgeNoise& noise, const PointScatter& scatter_of_all) {
  const auto count = static_cast<double>(points.size());
  if (points.size() < 4) return std::nullopt;
  Vector2d middle = Vector2d::Zero();
  for (const Vector2d& point : points) middle += point / count;
  Eigen::Matrix2d scatter = Eigen::Matrix2d::Zero();
  for (const Vector2d& point : points) scatter += (point - middle) * (point - middle).transpose();
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> axes(scatter);
  Line line;
  line.middle = middle;
  line.normal = axes.eigenvectors().col(0);
  if (line.normal.dot(middle - inside) < 0.0) line.normal = -line.normal;
  // One edge's few points tell its noise poorly: those of all four count as this many more.
  constexpr double borrowed_points = 60.0;
  const double own_variance = (axes.eigenvalues()[0] + borrowed_points * scatter_of_all.point_variance) /
                              (count - 2.0 + borrowed_points);
  const double point_variance =
      scatter_of_all.alike * std::max(own_variance, noise.smallest_px * noise.smallest_px);
  const double length_square = 12.0 * axes.eigenvalues()[1] / count;
  if (length_square <= 0.0) return std::nullopt;
  const double line_variance = noise.line_px * noise.line_px;
  line.offset_variance = point_variance / count + line_variance;
  line.angle_variance = point_variance / axes.eigenvalues()[1] + 12.0 * line_variance / length_square;
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

}  // namespace

std::optional<MeasuredCorners> measure_corners(const Sighting& sighting, const Lens& lens,
                                               const PhotoShift& shift, const EdgeNoise& noise) {
  const auto inside = straightened(sighting.centre_px, lens, shift);
  if (!inside) return std::nullopt;
  std::array<std::vector<Vector2d>, 4> points;
  for (int edge = 0; edge < 4; ++edge)
    for (const EdgePoint& point : sighting.edge_points[edge])
      if (const auto straight = straightened(point.point_px, lens, shift)) points[edge].push_back(*straight);
  const PointScatter scatter = point_scatter(points);
  std::array<Line, 4> lines;
  for (int edge = 0; edge < 4; ++edge) {
    const auto line = fit_line(points[edge], *inside, noise, scatter);
    if (!line) return std::nullopt;
    lines[edge] = *line;
  }
  MeasuredCorners measured;
  Eigen::Matrix<double, 8, 8> by_lines = Eigen::Matrix<double, 8, 8>::Zero();
  Eigen::Matrix<double, 8, 1> line_variance, outwards, pairwise;
  for (int k = 0; k < 4; ++k) {
    const int before = (k + 3) % 4;  // edge k runs from corner k to the next
    const auto corner = intersect(lines[before], lines[k]);
    if (!corner) return std::nullopt;
    measured.corner_px[k] = bent(corner->place, lens, shift);
    by_lines.block<2, 2>(2 * k, 2 * before) = corner->by_lines.leftCols<2>();
    by_lines.block<2, 2>(2 * k, 2 * k) = corner->by_lines.rightCols<2>();
    line_variance.segment<2>(2 * k) << lines[k].offset_variance, lines[k].angle_variance;
    outwards.segment<2>(2 * k) = corner->by_lines.col(0) + corner->by_lines.col(2);
    const double sign = k % 2 == 0 ? 1.0 : -1.0;
    pairwise.segment<2>(2 * k) = sign * (corner->by_lines.col(2) - corner->by_lines.col(0));
  }
  measured.covariance_px2 = by_lines * line_variance.asDiagonal() * by_lines.transpose() +
                            noise.common_shift_px * noise.common_shift_px * outwards * outwards.transpose() +
                            noise.pair_shift_px * noise.pair_shift_px * pairwise * pairwise.transpose();
  return measured;
}

Eigen::MatrixXd square_root_information(const Eigen::MatrixXd& covariance) {
  const Eigen::LLT<Eigen::MatrixXd> factor(covariance);
  return factor.matrixL().solve(Eigen::MatrixXd::Identity(covariance.rows(), covariance.cols()));
}

}  // namespace pivotfix
