// SPDX-License-Identifier: Apache-2.0
#include "compare/overlay.h"

#include <Eigen/Dense>
#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/chi_square.h"
#include "base/problem.h"
#include "base/rigid_transform.h"

namespace pivotfix {
namespace {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::MatrixXd;
using Eigen::Vector3d;
using Eigen::VectorXd;

constexpr double chance_of_a_good_tag = 0.001;
constexpr std::size_t fewest_tags = 3;
constexpr double flattest_ratio = 0.05;  // of the tags' extents: below, they stand in one line

MatrixXd turned_blocks(const Matrix3d& turn, Index points) {
  MatrixXd matrix = MatrixXd::Zero(3 * points, 3 * points);
  for (Index i = 0; i < points; ++i) matrix.block<3, 3>(3 * i, 3 * i) = turn;
  return matrix;
}

// Rows of a small turn (from the left) and a shift for every point.
MatrixXd rigid_motion_rows(const std::vector<Vector3d>& points_mm) {
  MatrixXd rows(3 * static_cast<Index>(points_mm.size()), 6);
  for (std::size_t i = 0; i < points_mm.size(); ++i) {
    rows.block<3, 3>(static_cast<Index>(3 * i), 0) = -cross_matrix(points_mm[i]);
    rows.block<3, 3>(static_cast<Index>(3 * i), 3).setIdentity();
  }
  return rows;
}

// One fit on the tags whose indices are in `used`.
class TagFit {
 public:
  TagFit(const PointCloud& first, const PointCloud& second, std::vector<std::size_t> used)
      : first_(first), second_(second), used_(std::move(used)) {
    check_spread();
    iterate();
  }

  OverlaidPivots pivots() const;
  // Chi square of each used tag's miss, three degrees of freedom; its miss is judged by the others.
  std::vector<double> misses() const;
  // Whether what is left fits together.
  bool agrees() const;
  double rms_mm() const { return std::sqrt(residual_mm_.squaredNorm() / static_cast<double>(used_.size())); }
  const std::vector<std::size_t>& used() const { return used_; }

 private:
  std::vector<Vector3d> moved(const std::vector<Vector3d>& points_mm) const {
    std::vector<Vector3d> result;
    for (const Vector3d& point : points_mm) result.push_back(first_from_second_ * point);
    return result;
  }
  std::vector<Vector3d> used_of(const std::vector<Vector3d>& tags_mm) const {
    std::vector<Vector3d> result;
    for (const std::size_t i : used_) result.push_back(tags_mm[i]);
    return result;
  }
  // Of pivots, then used tags: both sets' errors in the axes of the first.
  MatrixXd covariance() const;
  MatrixXd chosen(const MatrixXd& whole) const;
  void check_spread() const;
  void iterate();

  const PointCloud& first_;
  const PointCloud& second_;
  std::vector<std::size_t> used_;
  RigidTransform first_from_second_{};
  MatrixXd covariance_{};
  MatrixXd motion_by_tags_{};  // 6 x 3m: the fitted small motion by the tags' misses
  VectorXd residual_mm_{};
};

void TagFit::check_spread() const {
  const std::vector<Vector3d> tags = used_of(first_.tags_mm);
  Vector3d middle = Vector3d::Zero();
  for (const Vector3d& tag : tags) middle += tag / static_cast<double>(tags.size());
  Matrix3d spread = Matrix3d::Zero();
  for (const Vector3d& tag : tags) spread += (tag - middle) * (tag - middle).transpose();
  const Vector3d extent =
      Eigen::SelfAdjointEigenSolver<Matrix3d>(spread).eigenvalues().cwiseMax(0.0).cwiseSqrt();
  if (!(extent[1] > flattest_ratio * extent[2]))
    throw Problem(ProblemKind::refused,
                  "The common body tags stand in one line, so one set can turn against the other.",
                  "Compare on the axes (--on axes), or stick more tags, well spread.");
}

MatrixXd TagFit::chosen(const MatrixXd& whole) const {
  const Index pivots = 3 * static_cast<Index>(first_.pivots_mm.size());
  std::vector<Index> rows(static_cast<std::size_t>(pivots));
  std::iota(rows.begin(), rows.end(), Index{0});
  for (const std::size_t tag : used_)
    for (Index c = 0; c < 3; ++c) rows.push_back(pivots + 3 * static_cast<Index>(tag) + c);
  return whole(rows, rows);
}

MatrixXd TagFit::covariance() const {
  const auto points = static_cast<Index>(first_.pivots_mm.size() + used_.size());
  const MatrixXd turn = turned_blocks(first_from_second_.rotation.toRotationMatrix(), points);
  return chosen(first_.covariance_mm2) + turn * chosen(second_.covariance_mm2) * turn.transpose();
}

// Start by the closed form for equal weights (Umeyama, 1991), then Gauss-Newton.
void TagFit::iterate() {
  const std::vector<Vector3d> to = used_of(first_.tags_mm), from = used_of(second_.tags_mm);
  Eigen::Matrix3Xd source(3, static_cast<Index>(from.size())), target(3, static_cast<Index>(to.size()));
  for (std::size_t i = 0; i < to.size(); ++i) {
    source.col(static_cast<Index>(i)) = from[i];
    target.col(static_cast<Index>(i)) = to[i];
  }
  const Eigen::Matrix4d start = Eigen::umeyama(source, target, false);
  first_from_second_ = {Eigen::Quaterniond(Matrix3d(start.topLeftCorner<3, 3>())),
                        start.topRightCorner<3, 1>()};
  const bool weighted = first_.covariance_mm2.size() > 0 && second_.covariance_mm2.size() > 0;
  const Index tag_rows = 3 * static_cast<Index>(used_.size());
  for (int round = 0; round < 10; ++round) {
    if (weighted) covariance_ = covariance();
    const std::vector<Vector3d> tags = moved(from);
    const VectorXd miss = stacked(to) - stacked(tags);
    const MatrixXd rows = rigid_motion_rows(tags);
    const MatrixXd weighted_rows =
        weighted ? MatrixXd(covariance_.bottomRightCorner(tag_rows, tag_rows).ldlt().solve(rows)) : rows;
    motion_by_tags_ = (rows.transpose() * weighted_rows).ldlt().solve(weighted_rows.transpose());
    const VectorXd motion = motion_by_tags_ * miss;
    residual_mm_ = miss - rows * motion;
    first_from_second_ = RigidTransform{turn_by(motion.head<3>()), motion.tail<3>()} * first_from_second_;
    if (motion.norm() < 1e-10) break;
  }
}

OverlaidPivots TagFit::pivots() const {
  OverlaidPivots result;
  result.pivots_mm = moved(second_.pivots_mm);
  for (std::size_t i = 0; i < result.pivots_mm.size(); ++i)
    result.shift_mm.push_back(result.pivots_mm[i] - first_.pivots_mm[i]);
  result.rms_mm = rms_mm();
  if (covariance_.size() == 0) return result;
  // Errors of second minus first at pivots and tags; the fit takes a rigid motion off the pivots that the
  // tags' errors decide.
  const Index n = 3 * static_cast<Index>(result.pivots_mm.size()), m = motion_by_tags_.cols();
  MatrixXd by_errors(n, n + m);
  by_errors.leftCols(n).setIdentity();
  by_errors.rightCols(m) = -rigid_motion_rows(result.pivots_mm) * motion_by_tags_;
  result.covariance_mm2 = by_errors * covariance_ * by_errors.transpose();
  return result;
}

std::vector<double> TagFit::misses() const {
  std::vector<double> figures(used_.size(), 0.0);
  if (covariance_.size() == 0) return figures;
  const Index m = motion_by_tags_.cols();
  const MatrixXd tags = covariance_.bottomRightCorner(m, m);
  const MatrixXd rows = rigid_motion_rows(moved(used_of(second_.tags_mm)));
  const MatrixXd weight = tags.inverse();
  // Baarda's test for a shift of one point: estimate it together with the motion.
  const MatrixXd of_residuals = weight - weight * rows * motion_by_tags_;
  const VectorXd weighted = of_residuals * residual_mm_;
  for (std::size_t i = 0; i < figures.size(); ++i) {
    const auto at = static_cast<Index>(3 * i);
    const Matrix3d part = of_residuals.block<3, 3>(at, at);
    const Vector3d pull = weighted.segment<3>(at);
    figures[i] = pull.dot(part.ldlt().solve(pull));
  }
  return figures;
}

bool TagFit::agrees() const {
  if (covariance_.size() == 0) return true;
  const Index m = motion_by_tags_.cols();
  const double chi_square = residual_mm_.dot(covariance_.bottomRightCorner(m, m).ldlt().solve(residual_mm_));
  return chi_square_probability(chi_square, static_cast<int>(m) - 6) > chance_of_a_good_tag;
}

}  // namespace

VectorXd stacked(const std::vector<Vector3d>& points_mm) {
  VectorXd all(3 * static_cast<Index>(points_mm.size()));
  for (std::size_t i = 0; i < points_mm.size(); ++i) all.segment<3>(static_cast<Index>(3 * i)) = points_mm[i];
  return all;
}

OverlaidPivots on_axes(const PointCloud& first, const PointCloud& second) {
  OverlaidPivots result;
  result.pivots_mm = second.pivots_mm;
  for (std::size_t i = 0; i < first.pivots_mm.size(); ++i)
    result.shift_mm.push_back(second.pivots_mm[i] - first.pivots_mm[i]);
  const Index n = 3 * static_cast<Index>(first.pivots_mm.size());
  if (first.covariance_mm2.size() > 0 && second.covariance_mm2.size() > 0)
    result.covariance_mm2 =
        first.covariance_mm2.topLeftCorner(n, n) + second.covariance_mm2.topLeftCorner(n, n);
  return result;
}

OverlaidPivots on_tags(const PointCloud& first, const PointCloud& second) {
  if (first.tags_mm.size() < fewest_tags)
    throw Problem(ProblemKind::refused,
                  "The sets have " + std::to_string(first.tags_mm.size()) +
                      " body tags in common, and three are needed.",
                  "Compare on the axes: --on axes.");
  std::vector<std::size_t> used(first.tags_mm.size());
  std::iota(used.begin(), used.end(), std::size_t{0});
  std::vector<std::size_t> left_out;
  for (;;) {
    const TagFit fit(first, second, used);
    const std::vector<double> misses = fit.misses();
    const auto worst = std::max_element(misses.begin(), misses.end());
    // With three tags a miss cannot be told from the others'.
    if (used.size() == fewest_tags || chi_square_probability(*worst, 3) > chance_of_a_good_tag) {
      OverlaidPivots result = fit.pivots();
      result.tags_agree = fit.agrees();
      result.left_out = left_out;
      return result;
    }
    const auto at = worst - misses.begin();
    left_out.push_back(used[static_cast<std::size_t>(at)]);
    used.erase(used.begin() + at);
  }
}

}  // namespace pivotfix
