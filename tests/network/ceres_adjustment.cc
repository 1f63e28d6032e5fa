// SPDX-License-Identifier: Apache-2.0
#include "network/ceres_adjustment.h"

#include <ceres/ceres.h>

namespace pivotfix::oracle {
namespace {

// Quaternion (x, y, z, w), then translation in mm; a station goes on with its shift.
using Pose = std::array<double, 7>;
constexpr int station_size = 7 + photo_shift_count;
using StationBlock = std::array<double, station_size>;

template <typename T>
using Vector3 = Eigen::Matrix<T, 3, 1>;

template <typename T>
Vector3<T> moved(const T* pose, const Vector3<T>& point) {
  return Eigen::Map<const Eigen::Quaternion<T>>(pose) * point + Eigen::Map<const Vector3<T>>(pose + 4);
}

template <typename T>
using Vector2 = Eigen::Matrix<T, 2, 1>;

template <typename T>
Vector2<T> distorted(const T* lens, const Vector2<T>& ideal) {
  const T u = ideal[0], v = ideal[1], square = u * u + v * v;
  const T stretch = T(1.0) + lens[lens_k1] * square + lens[lens_k2] * square * square +
                    lens[lens_k3] * square * square * square;
  return {u * stretch + T(2.0) * lens[lens_p1] * u * v + lens[lens_p2] * (square + T(2.0) * u * u),
          v * stretch + lens[lens_p1] * (square + T(2.0) * v * v) + T(2.0) * lens[lens_p2] * u * v};
}

// Rows are read while the camera turns: to first order, seen from the camera as it was for the row.
template <typename T>
Vector2<T> seen_in_rows(const T* turn_rad, const T* lens, const Vector3<T>& point) {
  const Vector3<T> still(point[0] / point[2], point[1] / point[2], T(1.0));
  const T delay = distorted<T>(lens, still.template head<2>())[1];
  const Vector3<T> drift = -Eigen::Map<const Vector3<T>>(turn_rad).cross(still);
  return still.template head<2>() + delay * (drift.template head<2>() - drift[2] * still.template head<2>());
}

struct Reprojection {
  const BundleObservation& observation;

  template <typename T>
  bool operator()(const T* station, const T* target, const T* size, const T* lens, T* whitened) const {
    const auto count = static_cast<Eigen::Index>(observation.points_px.size());
    Eigen::Matrix<T, Eigen::Dynamic, 1> miss(2 * count);
    for (Eigen::Index i = 0; i < count; ++i) {
      const Vector3<T> on_target = size[0] * observation.points_target_mm[i].template cast<T>();
      const Vector3<T> point = moved(station, moved(target, on_target));
      const Vector2<T> place = distorted(lens, seen_in_rows(station + 10, lens, point));
      const T focal = lens[lens_focal_px] * (T(1.0) + station[9]);
      miss[2 * i] =
          observation.points_px[i].x() - (focal * place[0] + lens[lens_principal_x_px] + station[7]);
      miss[2 * i + 1] = observation.points_px[i].y() -
                        (focal * lens[lens_aspect] * place[1] + lens[lens_principal_y_px] + station[8]);
    }
    Eigen::Map<Eigen::Matrix<T, Eigen::Dynamic, 1>>(whitened, 2 * count) =
        observation.square_root_information.template cast<T>() * miss;
    return true;
  }
};

struct Distance {
  double length_mm, sigma_mm;

  template <typename T>
  bool operator()(const T* from, const T* to, T* whitened) const {
    whitened[0] =
        ((Eigen::Map<const Vector3<T>>(to + 4) - Eigen::Map<const Vector3<T>>(from + 4)).norm() - length_mm) /
        sigma_mm;
    return true;
  }
};

struct Expected {
  int at;
  double value, sigma;

  template <typename T>
  bool operator()(T const* const* block, T* whitened) const {
    whitened[0] = (block[0][at] - value) / sigma;
    return true;
  }
};

class Problem {
 public:
  explicit Problem(const Bundle& start, double robust_scale)
      : bundle_(start), stations_(start.stations.size()), targets_(start.targets.size()) {
    for (std::size_t i = 0; i < stations_.size(); ++i) {
      write(bundle_.stations[i].camera_from_network, stations_[i].data());
      std::copy_n(bundle_.stations[i].shift.begin(), photo_shift_count, stations_[i].begin() + 7);
    }
    for (std::size_t i = 0; i < targets_.size(); ++i)
      write(bundle_.targets[i].network_from_target, targets_[i].data());
    add_observations(robust_scale);
    add_knowledge();
    hold();
  }

  CeresSolution solve() {
    ceres::Solver::Options options;
    options.linear_solver_type = ceres::DENSE_QR;
    options.max_num_iterations = 200;
    options.initial_trust_region_radius = 1e9;
    options.function_tolerance = 1e-15;
    options.gradient_tolerance = 1e-14;
    options.parameter_tolerance = 1e-13;
    options.logging_type = ceres::SILENT;
    ceres::Solver::Summary summary;
    ceres::Solve(options, &problem_, &summary);
    CeresSolution solution{bundle_, summary.final_cost, covariance()};
    for (std::size_t i = 0; i < stations_.size(); ++i) {
      solution.bundle.stations[i].camera_from_network = read(stations_[i].data());
      std::copy_n(stations_[i].begin() + 7, photo_shift_count, solution.bundle.stations[i].shift.begin());
    }
    for (std::size_t i = 0; i < targets_.size(); ++i)
      solution.bundle.targets[i].network_from_target = read(targets_[i].data());
    return solution;
  }

 private:
  static void write(const RigidTransform& pose, double* block) {
    std::copy_n(pose.rotation.coeffs().data(), 4, block);
    std::copy_n(pose.translation_mm.data(), 3, block + 4);
  }

  static RigidTransform read(const double* block) {
    return {Eigen::Quaterniond(block[3], block[0], block[1], block[2]).normalized(),
            Eigen::Map<const Eigen::Vector3d>(block + 4)};
  }

  void add_observations(double robust_scale) {
    for (const BundleObservation& observation : bundle_.observations) {
      if (observation.rejected) continue;
      using Cost =
          ceres::AutoDiffCostFunction<Reprojection, ceres::DYNAMIC, station_size, 7, 1, lens_parameter_count>;
      auto* cost = new Cost(new Reprojection{observation},
                            static_cast<int>(observation.square_root_information.rows()));
      problem_.AddResidualBlock(
          cost, robust_scale > 0.0 ? new ceres::CauchyLoss(robust_scale) : nullptr,
          stations_[observation.station].data(), targets_[observation.target].data(),
          &bundle_.sizes[bundle_.targets[observation.target].size].factor,
          bundle_.lenses[bundle_.stations[observation.station].lens].lens.values.data());
    }
  }

  void expect(double* block, int size, int at, double value, double sigma) {
    if (sigma <= 0.0 || !problem_.HasParameterBlock(block)) return;
    auto* cost = new ceres::DynamicAutoDiffCostFunction<Expected>(new Expected{at, value, sigma});
    cost->AddParameterBlock(size);
    cost->SetNumResiduals(1);
    problem_.AddResidualBlock(cost, nullptr, block);
  }

  void add_knowledge() {
    for (const BundleDistance& distance : bundle_.distances)
      problem_.AddResidualBlock(new ceres::AutoDiffCostFunction<Distance, 1, 7, 7>(
                                    new Distance{distance.length_mm, distance.sigma_mm}),
                                nullptr, targets_[distance.from_target].data(),
                                targets_[distance.to_target].data());
    for (BundleLens& lens : bundle_.lenses)
      for (int k = 0; k < lens_parameter_count; ++k)
        expect(lens.lens.values.data(), lens_parameter_count, k, lens.expected.values[k],
               lens.expected_sigma[k]);
    for (StationBlock& station : stations_)
      for (int k = 0; k < photo_shift_count; ++k)
        expect(station.data(), station_size, 7 + k, 0.0, bundle_.shift_sigma[k]);
    for (BundleSize& size : bundle_.sizes) expect(&size.factor, 1, 0, 1.0, size.expected_sigma);
  }

  void hold() {
    using Turn = ceres::EigenQuaternionManifold;
    for (StationBlock& station : stations_)
      if (problem_.HasParameterBlock(station.data()))
        problem_.SetManifold(
            station.data(),
            new ceres::ProductManifold<Turn, ceres::EuclideanManifold<3 + photo_shift_count>>);
    for (Pose& target : targets_)
      if (problem_.HasParameterBlock(target.data()))
        problem_.SetManifold(target.data(), new ceres::ProductManifold<Turn, ceres::EuclideanManifold<3>>);
    problem_.SetParameterBlockConstant(targets_[bundle_.datum_target].data());
    for (BundleLens& lens : bundle_.lenses) {
      std::vector<int> held;
      for (int k = 0; k < lens_parameter_count; ++k)
        if (!lens.free[k]) held.push_back(k);
      if (!held.empty())
        problem_.SetManifold(lens.lens.values.data(), new ceres::SubsetManifold(lens_parameter_count, held));
    }
  }

  // Ceres turns by half of a rotation vector, and writes rotation before translation.
  Eigen::MatrixXd covariance() {
    std::vector<const double*> blocks;
    for (const Pose& target : targets_) blocks.push_back(target.data());
    for (const BundleSize& size : bundle_.sizes) blocks.push_back(&size.factor);
    for (const BundleLens& lens : bundle_.lenses) blocks.push_back(lens.lens.values.data());
    ceres::Covariance::Options options;
    options.algorithm_type = ceres::SPARSE_QR;
    ceres::Covariance covariance(options);
    if (!covariance.Compute(blocks, &problem_)) return {};
    std::vector<Eigen::MatrixXd> to_ours;
    Eigen::Index width = 0;
    for (const double* block : blocks) {
      const int size = problem_.ParameterBlockSize(block);
      const int tangent =
          problem_.IsParameterBlockConstant(block) ? 0 : problem_.ParameterBlockTangentSize(block);
      Eigen::MatrixXd map = Eigen::MatrixXd::Zero(size == 7 ? 6 : size, tangent);
      if (size == 7 && tangent > 0) {
        map.block<3, 3>(0, 3).setIdentity();
        map.block<3, 3>(3, 0) = 2.0 * Eigen::Matrix3d::Identity();
      } else if (size == lens_parameter_count) {
        for (int k = 0, at = 0; k < size; ++k)
          if (bundle_.lenses[0].free[k]) map(k, at++) = 1.0;
      } else if (tangent > 0) {
        map.setIdentity();
      }
      to_ours.push_back(map);
      width += map.rows();
    }
    Eigen::MatrixXd joint = Eigen::MatrixXd::Zero(width, width);
    Eigen::Index row = 0;
    for (std::size_t a = 0; a < blocks.size(); row += to_ours[a++].rows()) {
      Eigen::Index column = 0;
      for (std::size_t b = 0; b < blocks.size(); column += to_ours[b++].rows()) {
        if (to_ours[a].cols() == 0 || to_ours[b].cols() == 0) continue;
        Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor> block(to_ours[a].cols(),
                                                                                     to_ours[b].cols());
        covariance.GetCovarianceBlockInTangentSpace(blocks[a], blocks[b], block.data());
        joint.block(row, column, to_ours[a].rows(), to_ours[b].rows()) =
            to_ours[a] * block * to_ours[b].transpose();
      }
    }
    return joint;
  }

  Bundle bundle_;
  std::vector<StationBlock> stations_;
  std::vector<Pose> targets_;
  ceres::Problem problem_;
};

}  // namespace

CeresSolution solve_with_ceres(const Bundle& start, double robust_scale) {
  return Problem(start, robust_scale).solve();
}

}  // namespace pivotfix::oracle
