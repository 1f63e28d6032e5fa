// SPDX-License-Identifier: Apache-2.0
#include "network/bundle.h"

#include <ceres/ceres.h>

#include <Eigen/Cholesky>
#include <memory>

#include "network/projection.h"

namespace pivotfix {

namespace {

// A pose as one parameter block: quaternion (x, y, z, w), then translation in mm; a station's block goes on
// with the photo's shift.
constexpr int pose_parameters = 7;
constexpr int station_parameters = pose_parameters + 3;
using PoseBlock = std::array<double, pose_parameters>;
using StationBlock = std::array<double, station_parameters>;

void write_pose(const RigidTransform& pose, double* block) {
  std::copy_n(pose.rotation.coeffs().data(), 4, block);
  std::copy_n(pose.translation_mm.data(), 3, block + 4);
}

RigidTransform read_pose(const double* block) {
  RigidTransform pose;
  pose.rotation.coeffs() = Eigen::Map<const Eigen::Vector4d>(block).normalized();
  pose.translation_mm = Eigen::Map<const Eigen::Vector3d>(block + 4);
  return pose;
}

using RowMajor = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

// Derivatives by a quaternion's four numbers out of those by a small rotation vector w from the left: they
// move by half of (w, 0) times the quaternion, and Ceres only asks for directions that keep its length.
template <typename Derived>
Eigen::Matrix<double, Eigen::Dynamic, 4> by_quaternion(const Eigen::MatrixBase<Derived>& by_rotation,
                                                       const Eigen::Quaterniond& q) {
  Eigen::Matrix<double, 3, 4> back;
  back << q.w(), -q.z(), q.y(), -q.x(), q.z(), q.w(), -q.x(), -q.y(), -q.y(), q.x(), q.w(), -q.z();
  return 2.0 * by_rotation * back;
}

// Blocks: station, target, size, lens.
class ReprojectionCost final : public ceres::CostFunction {
 public:
  explicit ReprojectionCost(const BundleObservation& observation) : observation_(observation) {
    set_num_residuals(static_cast<int>(observation.square_root_information.rows()));
    *mutable_parameter_block_sizes() = {station_parameters, pose_parameters, 1, lens_parameter_count};
  }

  bool Evaluate(const double* const* blocks, double* whitened, double** jacobians) const override {
    const RigidTransform camera_from_network = read_pose(blocks[0]);
    const RigidTransform network_from_target = read_pose(blocks[1]);
    PhotoShift shift;
    std::copy_n(blocks[0] + pose_parameters, 3, shift.begin());
    Lens lens;
    std::copy_n(blocks[3], lens_parameter_count, lens.values.begin());
    const ObservedState state{camera_from_network, shift, network_from_target, blocks[2][0], lens};
    Eigen::Map<Eigen::VectorXd>(whitened, num_residuals()) = whitened_residuals(observation_, state);
    if (!jacobians) return true;
    const auto all = whitened_jacobian(observation_, state);
    const auto into = [&](int block) {
      return Eigen::Map<RowMajor>(jacobians[block], num_residuals(), parameter_block_sizes()[block]);
    };
    if (jacobians[0])
      into(0) << by_quaternion(all.leftCols<3>(), camera_from_network.rotation), all.middleCols<6>(3);
    if (jacobians[1])
      into(1) << by_quaternion(all.middleCols<3>(station_width + 3), network_from_target.rotation),
          all.middleCols<3>(station_width);
    if (jacobians[2])
      Eigen::Map<Eigen::VectorXd>(jacobians[2], num_residuals()) = all.col(station_width + target_width);
    if (jacobians[3]) into(3) = all.rightCols<lens_parameter_count>();
    return true;
  }

 private:
  const BundleObservation& observation_;
};

struct DistanceCost {
  double length_mm, sigma_mm;

  template <typename Scalar>
  bool operator()(const Scalar* from, const Scalar* to, Scalar* whitened) const {
    using ConstVector3 = Eigen::Map<const Eigen::Matrix<Scalar, 3, 1>>;
    whitened[0] = ((ConstVector3(to + 4) - ConstVector3(from + 4)).norm() - length_mm) / sigma_mm;
    return true;
  }
};

// A lens against a calibration of it.
struct CalibrationCost {
  Lens expected;
  Eigen::MatrixXd square_root_of_knowledge;

  template <typename Scalar>
  bool operator()(const Scalar* lens, Scalar* whitened) const {
    Eigen::Matrix<Scalar, lens_parameter_count, 1> difference;
    for (int i = 0; i < lens_parameter_count; ++i) difference[i] = lens[i] - expected.values[i];
    Eigen::Map<Eigen::Matrix<Scalar, Eigen::Dynamic, 1>> result(whitened, square_root_of_knowledge.rows());
    result.noalias() = square_root_of_knowledge.template cast<Scalar>() * difference;
    return true;
  }
};

// Values `first`.. of a block against what is expected of them; sigma 0 leaves a value alone.
template <int block_size, int first, int count>
struct ExpectationCost {
  std::array<double, count> expected, sigma;

  template <typename Scalar>
  bool operator()(const Scalar* block, Scalar* whitened) const {
    for (int i = 0; i < count; ++i)
      whitened[i] = sigma[i] > 0.0 ? (block[first + i] - expected[i]) / sigma[i] : Scalar(0.0);
    return true;
  }
};

// One bundle inside a Ceres problem; owns the memory that Ceres changes.
class CeresBundle {
 public:
  CeresBundle(const Bundle& start, const BundleOptions& options)
      : bundle_(start),
        stations_(start.stations.size()),
        targets_(start.targets.size()),
        problem_(keep_ownership()) {
    for (std::size_t i = 0; i < stations_.size(); ++i) {
      write_pose(bundle_.stations[i].camera_from_network, stations_[i].data());
      std::copy_n(bundle_.stations[i].shift.begin(), 3, stations_[i].begin() + pose_parameters);
    }
    for (std::size_t i = 0; i < targets_.size(); ++i)
      write_pose(bundle_.targets[i].network_from_target, targets_[i].data());
    add_observations(options);
    add_distances();
    add_expectations();
    hold(options);
  }

  AdjustedBundle solve(const BundleOptions& options) {
    ceres::Solver::Options solver;
    solver.linear_solver_type = ceres::DENSE_SCHUR;
    solver.linear_solver_ordering = stations_first();
    solver.max_num_iterations = options.most_iterations;
    solver.function_tolerance = options.smallest_gain;
    // Weakly determined lens parameters would only creep under the usual first damping.
    solver.initial_trust_region_radius = 1e7;
    solver.gradient_tolerance = 1e-12;
    solver.parameter_tolerance = 1e-12;
    solver.num_threads = 1;  // the order of sums must not depend on the machine
    solver.logging_type = ceres::SILENT;
    ceres::Solver::Summary summary;
    ceres::Solve(solver, &problem_, &summary);
    for (std::size_t i = 0; i < stations_.size(); ++i) {
      bundle_.stations[i].camera_from_network = read_pose(stations_[i].data());
      std::copy_n(stations_[i].begin() + pose_parameters, 3, bundle_.stations[i].shift.begin());
    }
    for (std::size_t i = 0; i < targets_.size(); ++i)
      bundle_.targets[i].network_from_target = read_pose(targets_[i].data());
    return {bundle_,
            {summary.termination_type == ceres::CONVERGENCE, static_cast<int>(summary.iterations.size()),
             summary.final_cost}};
  }

 private:
  static ceres::Problem::Options keep_ownership() {
    ceres::Problem::Options options;
    options.manifold_ownership = ceres::DO_NOT_TAKE_OWNERSHIP;
    options.loss_function_ownership = ceres::DO_NOT_TAKE_OWNERSHIP;
    return options;
  }

  void add_observations(const BundleOptions& options) {
    if (options.robust_scale > 0.0) loss_ = std::make_unique<ceres::CauchyLoss>(options.robust_scale);
    for (const BundleObservation& observation : bundle_.observations) {
      if (observation.rejected) continue;
      BundleTarget& target = bundle_.targets[observation.target];
      problem_.AddResidualBlock(
          new ReprojectionCost(observation), loss_.get(), stations_[observation.station].data(),
          targets_[observation.target].data(), &bundle_.sizes[target.size].factor,
          bundle_.lenses[bundle_.stations[observation.station].lens].lens.values.data());
    }
  }

  void add_distances() {
    using Cost = ceres::AutoDiffCostFunction<DistanceCost, 1, pose_parameters, pose_parameters>;
    for (const BundleDistance& distance : bundle_.distances)
      problem_.AddResidualBlock(new Cost(new DistanceCost{distance.length_mm, distance.sigma_mm}), nullptr,
                                targets_[distance.from_target].data(), targets_[distance.to_target].data());
  }

  template <int block_size, int first, int count>
  void expect(double* block, const std::array<double, count>& expected,
              const std::array<double, count>& sigma) {
    if (!problem_.HasParameterBlock(block)) return;
    using Expectation = ExpectationCost<block_size, first, count>;
    using Cost = ceres::AutoDiffCostFunction<Expectation, count, block_size>;
    problem_.AddResidualBlock(new Cost(new Expectation{expected, sigma}), nullptr, block);
  }

  void expect_calibration(BundleLens& lens) {
    if (!problem_.HasParameterBlock(lens.lens.values.data())) return;
    auto* calibration = new CalibrationCost{lens.expected, lens.square_root_of_knowledge()};
    const int rows = static_cast<int>(calibration->square_root_of_knowledge.rows());
    using Cost = ceres::AutoDiffCostFunction<CalibrationCost, ceres::DYNAMIC, lens_parameter_count>;
    problem_.AddResidualBlock(new Cost(calibration, rows), nullptr, lens.lens.values.data());
  }

  void add_expectations() {
    for (BundleLens& lens : bundle_.lenses)
      if (lens.calibrated())
        expect_calibration(lens);
      else
        expect<lens_parameter_count, 0, lens_parameter_count>(lens.lens.values.data(), lens.expected.values,
                                                              lens.expected_sigma);
    for (StationBlock& station : stations_)
      expect<station_parameters, pose_parameters, 3>(station.data(), {}, bundle_.shift_sigma);
    for (BundleSize& size : bundle_.sizes) expect<1, 0, 1>(&size.factor, {1.0}, {size.expected_sigma});
  }

  void hold_block(double* block) {
    if (problem_.HasParameterBlock(block)) problem_.SetParameterBlockConstant(block);
  }

  void set_manifold(double* block, std::unique_ptr<ceres::Manifold> manifold) {
    manifolds_.push_back(std::move(manifold));
    problem_.SetManifold(block, manifolds_.back().get());
  }

  void hold(const BundleOptions& options) {
    using ceres::EigenQuaternionManifold;
    using ceres::EuclideanManifold;
    using PoseManifold = ceres::ProductManifold<EigenQuaternionManifold, EuclideanManifold<3>>;
    using StationManifold =
        ceres::ProductManifold<EigenQuaternionManifold, EuclideanManifold<3>, ceres::SubsetManifold>;
    std::vector<int> held_shifts;
    for (int i = 0; i < 3; ++i)
      if (bundle_.shift_sigma[i] <= 0.0) held_shifts.push_back(i);
    for (StationBlock& station : stations_)
      if (problem_.HasParameterBlock(station.data()))
        set_manifold(station.data(),
                     std::make_unique<StationManifold>(EigenQuaternionManifold{}, EuclideanManifold<3>{},
                                                       ceres::SubsetManifold(3, held_shifts)));
    for (PoseBlock& target : targets_)
      if (problem_.HasParameterBlock(target.data()))
        set_manifold(target.data(), std::make_unique<PoseManifold>());
    hold_block(targets_[bundle_.datum_target].data());
    for (BundleSize& size : bundle_.sizes)
      if (!size.free) hold_block(&size.factor);
    for (BundleLens& lens : bundle_.lenses) hold_lens(lens, options.lenses_held);
  }

  void hold_lens(BundleLens& lens, bool wholly) {
    double* const block = lens.lens.values.data();
    std::vector<int> held;
    for (int i = 0; i < lens_parameter_count; ++i)
      if (!lens.free[i]) held.push_back(i);
    if (wholly || held.size() == lens_parameter_count)
      hold_block(block);
    else if (!held.empty() && problem_.HasParameterBlock(block))
      set_manifold(block, std::make_unique<ceres::SubsetManifold>(lens_parameter_count, held));
  }

  // No observation joins two stations, so they are eliminated first. Within a group Ceres sorts by address,
  // which is the order of each vector: one group per vector keeps sums, and so results, the same in every
  // run.
  std::shared_ptr<ceres::ParameterBlockOrdering> stations_first() {
    auto order = std::make_shared<ceres::ParameterBlockOrdering>();
    const auto add = [&](double* block, int group) {
      if (problem_.HasParameterBlock(block)) order->AddElementToGroup(block, group);
    };
    for (StationBlock& station : stations_) add(station.data(), 0);
    for (PoseBlock& target : targets_) add(target.data(), 1);
    for (BundleLens& lens : bundle_.lenses) add(lens.lens.values.data(), 2);
    for (BundleSize& size : bundle_.sizes) add(&size.factor, 3);
    return order;
  }

  Bundle bundle_;
  std::vector<StationBlock> stations_;
  std::vector<PoseBlock> targets_;
  std::vector<std::unique_ptr<ceres::Manifold>> manifolds_;
  std::unique_ptr<ceres::LossFunction> loss_;
  ceres::Problem problem_;
};

}  // namespace

Eigen::MatrixXd BundleLens::square_root_of_knowledge() const {
  std::vector<int> known;
  for (int i = 0; i < lens_parameter_count && calibrated(); ++i)
    if (expected_covariance(i, i) > 0.0) known.push_back(i);
  // Scaled to correlations: the variances differ by ten orders of magnitude.
  const auto count = static_cast<Eigen::Index>(known.size());
  Eigen::VectorXd sigma(count);
  for (Eigen::Index i = 0; i < count; ++i) sigma[i] = std::sqrt(expected_covariance(known[i], known[i]));
  Eigen::MatrixXd correlation(count, count);
  for (Eigen::Index a = 0; a < count; ++a)
    for (Eigen::Index b = 0; b < count; ++b)
      correlation(a, b) = expected_covariance(known[a], known[b]) / (sigma[a] * sigma[b]);
  const Eigen::MatrixXd whitened =
      correlation.llt().matrixL().solve(Eigen::MatrixXd(sigma.cwiseInverse().asDiagonal()));
  Eigen::MatrixXd result = Eigen::MatrixXd::Zero(count, lens_parameter_count);
  for (Eigen::Index i = 0; i < count; ++i) result.col(known[i]) = whitened.col(i);
  return result;
}

AdjustedBundle adjust(const Bundle& start, const BundleOptions& options) {
  return CeresBundle(start, options).solve(options);
}

}  // namespace pivotfix
