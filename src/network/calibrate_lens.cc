// SPDX-License-Identifier: Apache-2.0
#include "network/calibrate_lens.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>
#include <set>

#include "base/median.h"
#include "base/problem.h"
#include "base/units.h"
#include "bundle/bundle.h"
#include "lens/lens_groups.h"
#include "network/board_points.h"
#include "network/photo_shifts.h"
#include "network/planar_pose.h"

namespace pivotfix {

namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr std::size_t fewest_points = 6, fewest_views = 3;
constexpr double start_sigma_px = 0.3;
constexpr std::array<double, 6> focal_trials{1.0, 0.5, 0.7, 1.4, 2.0, 0.35};
constexpr int cells_across = 8, cells_down = 6;  // of the picture, for coverage

struct StartedView {
  RigidTransform camera_from_board{};
  double miss_px = 1e9;  // root mean square
};

double miss_px(const Lens& lens, const RigidTransform& camera_from_board, const BoardView& view) {
  double squares = 0.0;
  for (std::size_t i = 0; i < view.points_px.size(); ++i) {
    const Vector3d seen = camera_from_board * view.points_board_mm[i];
    if (seen.z() <= 0.0) return 1e9;
    squares += (pixel_from_direction(lens, {}, seen) - view.points_px[i]).squaredNorm();
  }
  return std::sqrt(squares / static_cast<double>(view.points_px.size()));
}

// The points farthest out along both diagonals of the board: four that make a pose.
std::array<std::size_t, 4> outer_points(const BoardView& view) {
  std::array<std::size_t, 4> outer{};
  const std::array<Vector2d, 4> outwards{Vector2d(-1, -1), {1, -1}, {1, 1}, {-1, 1}};
  for (std::size_t k = 0; k < 4; ++k)
    for (std::size_t i = 0; i < view.points_board_mm.size(); ++i)
      if (outwards[k].dot(view.points_board_mm[i].head<2>()) >
          outwards[k].dot(view.points_board_mm[outer[k]].head<2>()))
        outer[k] = i;
  return outer;
}

StartedView start_view(const Lens& lens, const BoardView& view) {
  const auto outer = outer_points(view);
  std::array<Vector2d, 4> direction;
  std::array<Vector3d, 4> corner;
  Vector3d middle = Vector3d::Zero();
  for (const std::size_t i : outer) middle += 0.25 * view.points_board_mm[i];
  for (int k = 0; k < 4; ++k) {
    const auto place = direction_from_pixel(lens, {}, view.points_px[outer[k]]);
    if (!place) return {};
    direction[k] = *place;
    corner[k] = view.points_board_mm[outer[k]] - middle;
  }
  StartedView best;
  const auto poses = planar_poses(direction, corner);
  if (!poses) return {};
  for (const RigidTransform& camera_from_middle : poses->camera_from_tag) {
    const RigidTransform pose = camera_from_middle * RigidTransform{Eigen::Quaterniond::Identity(), -middle};
    const double miss = miss_px(lens, pose, view);
    if (miss < best.miss_px) best = {pose, miss};
  }
  return best;
}

void check_views(const std::vector<BoardView>& views, const std::vector<LensGroup>& groups) {
  if (groups.size() > 1) {
    std::string list;
    for (const LensGroup& group : groups)
      list +=
          (list.empty() ? "" : "; ") + group.words + ": " + std::to_string(group.photos.size()) + " photos";
    throw Problem(ProblemKind::refused,
                  "The photos come from different cameras, sizes or zooms (" + list + ").",
                  "Calibrate one at a time.");
  }
  if (views.size() < fewest_views)
    throw Problem(ProblemKind::refused,
                  "The board is in " + std::to_string(views.size()) +
                      " of the photos; three are the least, fifteen from all sides are good.",
                  "Take more photos, or check --board against what was printed.");
}

double start_bundle(const std::vector<BoardView>& views, const LensGroup& group, double factor,
                    std::vector<StartedView>& started) {
  Lens lens = group.expected;
  lens.values[lens_focal_px] *= factor;
  std::vector<double> misses;
  started.clear();
  for (const BoardView& view : views) {
    started.push_back(start_view(lens, view));
    misses.push_back(started.back().miss_px);
  }
  return median(misses);
}

Bundle make_bundle(const std::vector<BoardView>& views, const LensGroup& group) {
  Bundle bundle;
  BundleLens lens;
  lens.lens = group.expected;
  std::vector<StartedView> best, trial;
  double best_miss = 1e9;
  for (const double factor : focal_trials) {
    const double miss = start_bundle(views, group, factor, trial);
    if (miss >= best_miss) continue;
    best_miss = miss;
    best = trial;
    lens.lens.values[lens_focal_px] = factor * group.expected.focal_px();
  }
  if (best.empty())
    throw Problem(ProblemKind::refused, "The board's points do not fit any lens.",
                  "Check --board against what was printed.");
  bundle.lenses = {lens};
  bundle.sizes = {{1.0, 0.0, false}};
  bundle.targets = {{}};
  for (std::size_t i = 0; i < views.size(); ++i) {
    bundle.stations.push_back({best[i].camera_from_board, 0, {}});
    BundleObservation observation;
    observation.station = static_cast<int>(i);
    observation.points_target_mm = views[i].points_board_mm;
    observation.points_px = views[i].points_px;
    const auto width = 2 * static_cast<Eigen::Index>(views[i].points_px.size());
    observation.square_root_information = Eigen::MatrixXd::Identity(width, width) / start_sigma_px;
    observation.rejected = best[i].miss_px > 1e8;
    bundle.observations.push_back(observation);
  }
  return bundle;
}

double rms_px(const Bundle& bundle, const BundleObservation& observation) {
  const Eigen::VectorXd miss = residuals_px(bundle, observation);
  return std::sqrt(miss.squaredNorm() / static_cast<double>(miss.size()));
}

// A view that fits much worse than the middle one shows another board, or its corners were mistaken.
// A few bad points do not condemn it: without them it is judged again.
bool reject_worst_view(const std::vector<BoardView>& views, Bundle& bundle) {
  constexpr double too_bad = 3.0;
  std::vector<double> all;
  std::size_t worst = 0;
  double worst_px = 0.0;
  for (std::size_t i = 0; i < bundle.observations.size(); ++i) {
    if (bundle.observations[i].rejected) continue;
    all.push_back(rms_px(bundle, bundle.observations[i]));
    if (all.back() <= worst_px) continue;
    worst_px = all.back();
    worst = i;
  }
  if (all.size() <= fewest_views || worst_px < too_bad * median(all)) return false;
  if (!leave_out_bad_points(views[worst], bundle, bundle.observations[worst]))
    bundle.observations[worst].rejected = true;
  return true;
}

// One at a time: what does not fit bends how the others miss.
void adjust_without_misfits(const std::vector<BoardView>& views, Bundle& bundle) {
  do adjust(bundle, {.most_iterations = 50});
  while (reject_worst_view(views, bundle));
}

BundleCovariance settle(const std::vector<BoardView>& views, Bundle& bundle) {
  constexpr int most_weighings = 20;
  for (int weighing = 0;; ++weighing) {
    adjust_without_misfits(views, bundle);
    BundleCovariance found = covariance(bundle);
    const double noise = found_noise(bundle, found);
    const bool lens_moves = bundle.shift_sigma[0] > 0.0;
    const PhotoShift shift_sigma = lens_moves ? estimate_shift_sigma(bundle, found) : PhotoShift{};
    const bool settled = weighing > 2 && std::abs(noise - 1.0) < 0.005 &&
                         (!lens_moves || std::abs(shift_sigma[0] / bundle.shift_sigma[0] - 1.0) < 0.03);
    if (settled || weighing == most_weighings) return found;
    for (BundleObservation& observation : bundle.observations) observation.square_root_information /= noise;
    bundle.shift_sigma = shift_sigma;
  }
}

LensCovariance known_part(const BundleCovariance& found) {
  return found.lenses.front();
}

// Odd against even photos: how far two lenses lie apart, in units of what their covariances predict.
double odd_even_ratio(const Bundle& whole) {
  std::array<Bundle, 2> half{whole, whole};
  std::array<LensCovariance, 2> spread;
  for (std::size_t parity = 0; parity < 2; ++parity) {
    std::size_t place = 0, kept = 0;
    for (BundleObservation& observation : half[parity].observations) {
      if (observation.rejected) continue;
      observation.rejected = place++ % 2 != parity;
      kept += !observation.rejected;
    }
    constexpr std::size_t enough = 4;
    if (kept < enough) return 1.0;
    adjust(half[parity], {.most_iterations = 50});
    spread[parity] = known_part(covariance(half[parity]));
  }
  std::vector<Eigen::Index> free;
  for (int k = 0; k < lens_parameter_count; ++k)
    if (whole.lenses[0].free[k]) free.push_back(k);
  Eigen::VectorXd apart(static_cast<Eigen::Index>(free.size()));
  for (std::size_t i = 0; i < free.size(); ++i)
    apart[static_cast<Eigen::Index>(i)] =
        half[0].lenses[0].lens.values[free[i]] - half[1].lenses[0].lens.values[free[i]];
  const Eigen::MatrixXd both = (spread[0] + spread[1])(free, free);
  const Eigen::VectorXd scale = both.diagonal().cwiseSqrt().cwiseInverse();
  const Eigen::MatrixXd correlation = scale.asDiagonal() * both * scale.asDiagonal();
  const Eigen::VectorXd whitened = scale.asDiagonal() * apart;
  return std::sqrt(whitened.dot(correlation.ldlt().solve(whitened)) / static_cast<double>(free.size()));
}

double covered_share(const std::vector<BoardView>& views, const LensCalibration& result) {
  std::set<std::pair<int, int>> cells;
  for (std::size_t i = 0; i < views.size(); ++i)
    if (result.views[i].used)
      for (const Vector2d& point : views[i].points_px)
        cells.insert({static_cast<int>(point.x() * cells_across / result.file.camera.width_px),
                      static_cast<int>(point.y() * cells_down / result.file.camera.height_px)});
  return static_cast<double>(cells.size()) / (cells_across * cells_down);
}

// What the lens' covariance makes of the pixel of a ray, over a grid of the picture; a turn and a shift of
// the camera that would do the same are not taken out, so this errs to the careful side.
void judge_pixels(LensCalibration& result) {
  double squares = 0.0;
  int count = 0;
  const CameraDescription& camera = result.file.camera;
  for (int column = 0; column <= cells_across; ++column)
    for (int row = 0; row <= cells_down; ++row) {
      const Vector2d pixel(column * (camera.width_px - 1.0) / cells_across,
                           row * (camera.height_px - 1.0) / cells_down);
      const auto direction = direction_from_pixel(result.file.lens, {}, pixel);
      if (!direction) continue;
      const auto by_lens = pixel_derivatives(result.file.lens, {}, direction->homogeneous()).by_lens;
      const double variance = 0.5 * (by_lens * result.file.covariance * by_lens.transpose()).trace();
      squares += variance;
      ++count;
      result.worst_sigma_px = std::max(result.worst_sigma_px, std::sqrt(variance));
    }
  result.middle_sigma_px = std::sqrt(squares / std::max(1, count));
}

// Limits: common practice, rounded.
void judge(LensCalibration& result) {
  std::size_t used = 0;
  for (const CalibratedView& view : result.views) used += view.used;
  if (used < 10)
    result.lacks.push_back("more photos: " + std::to_string(used) + " fit, ten or more are wanted");
  if (result.covered < 0.7)
    result.lacks.push_back(
        "the board nearer to the picture's edges and corners: " + format_fixed(100.0 * result.covered, 0) +
        " % of the picture shows it, 70 % are wanted");
  if (deg_from_rad(result.largest_tilt_rad) < 30.0)
    result.lacks.push_back(
        "the board tilted more: " + format_fixed(deg_from_rad(result.largest_tilt_rad), 0) +
        " degrees at most, 30 or more are wanted");
  // A job works its own lens out from its photos; a lens file that is worse than that helps little.
  const double wanted_px = 5e-4 * std::max(result.file.camera.width_px, result.file.camera.height_px);
  if (result.middle_sigma_px > wanted_px)
    result.lacks.push_back("more photos, or sharper ones: the lens is known to " +
                           format_fixed(result.middle_sigma_px, 2) + " px over the picture, " +
                           format_fixed(wanted_px, 2) + " px are wanted");
}

// What each photo came to; the residual of those that were used goes into the file.
void describe_views(const std::vector<BoardView>& usable, const Bundle& bundle, LensCalibration& result) {
  double squares = 0.0, coordinates = 0.0;
  for (std::size_t i = 0; i < usable.size(); ++i) {
    const BundleObservation& observation = bundle.observations[i];
    CalibratedView view{usable[i].photo,
                        !observation.rejected,
                        {},
                        bundle.stations[i].camera_from_network * bundle.targets[0].network_from_target,
                        rms_px(bundle, observation),
                        usable[i].points_px.size() - observation.points_px.size()};
    if (view.used) {
      ++result.file.photos;
      squares += residuals_px(bundle, observation).squaredNorm();
      coordinates += 2.0 * static_cast<double>(observation.points_px.size());
      const double facing = std::abs((view.camera_from_board.rotation * Vector3d::UnitZ()).z());
      result.largest_tilt_rad = std::max(result.largest_tilt_rad, std::acos(std::min(1.0, facing)));
    } else {
      view.why_not =
          "misses by " + format_fixed(view.rms_px, 2) + " px: blurred, half hidden, or another board?";
    }
    result.views.push_back(view);
  }
  result.file.residual_px = std::sqrt(squares / std::max(1.0, coordinates));
}

void refuse_misfits(const LensCalibration& result) {
  if (result.file.photos < static_cast<int>(fewest_views))
    throw Problem(ProblemKind::refused, "Too few photos of the board fit together.",
                  "Take more, sharp ones, and check --board against what was printed.");
  // What fits this badly is no such board: corners are found to a fraction of a pixel.
  const double worst_px = 1e-3 * std::max(result.file.camera.width_px, result.file.camera.height_px);
  if (!(result.file.residual_px < worst_px) || !result.file.covariance.allFinite())
    throw Problem(
        ProblemKind::refused,
        "The points do not lie as on this board: they miss by " + format_fixed(result.file.residual_px, 1) +
            " px.",
        "Check --board, --squares, --square and --marker against what was printed, and that the board "
        "is flat.");
}

}  // namespace

LensCalibration calibrate_lens(const std::vector<BoardView>& views, bool lens_moves) {
  std::vector<BoardView> usable;
  std::vector<CameraDescription> cameras;
  std::vector<CalibratedView> copies;
  for (const BoardView& view : views) {
    if (view.points_px.size() < fewest_points) continue;
    if (std::any_of(usable.begin(), usable.end(),
                    [&](const BoardView& earlier) { return shows_the_same_picture(view, earlier); })) {
      copies.push_back({view.photo, false, "the same picture under another name, counted once"});
      continue;
    }
    usable.push_back(view);
    cameras.push_back(view.camera);
  }
  const auto groups = group_by_lens(cameras);
  check_views(usable, groups);
  Bundle bundle = make_bundle(usable, groups.front());
  const auto all_free = bundle.lenses[0].free;
  constexpr double robust_scale = 3.0;
  bundle.lenses[0].free.fill(false);
  bundle.lenses[0].free[lens_focal_px] = bundle.lenses[0].free[lens_k1] = true;
  adjust(bundle, {.robust_scale = robust_scale, .most_iterations = 50, .smallest_gain = 1e-4});
  bundle.lenses[0].free = all_free;
  adjust(bundle, {.robust_scale = robust_scale, .most_iterations = 100, .smallest_gain = 1e-6});
  // Centres through a lens that is off by a hundredth are off by a hundredth of what they were.
  constexpr int centre_rounds = 2;
  for (int round = 0; round < centre_rounds && take_centres_through_lens(usable, bundle); ++round)
    adjust(bundle, {.robust_scale = robust_scale, .most_iterations = 100, .smallest_gain = 1e-6});
  if (lens_moves) bundle.shift_sigma = first_shift_sigma;
  const BundleCovariance found = settle(usable, bundle);

  LensCalibration result;
  result.file.camera = groups.front().camera;
  result.file.lens = bundle.lenses[0].lens;
  result.odd_even_ratio = odd_even_ratio(bundle);
  const double widened = std::max(1.0, result.odd_even_ratio);
  result.file.covariance = widened * widened * known_part(found);
  result.file.spread = bundle.shift_sigma;
  describe_views(usable, bundle, result);
  refuse_misfits(result);
  result.covered = covered_share(usable, result);
  judge_pixels(result);
  judge(result);
  result.views.insert(result.views.end(), copies.begin(), copies.end());
  return result;
}

}  // namespace pivotfix
