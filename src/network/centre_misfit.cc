// SPDX-License-Identifier: Apache-2.0
#include "network/centre_misfit.h"

#include <Eigen/Cholesky>
#include <Eigen/LU>
#include <algorithm>
#include <array>
#include <cmath>

namespace pivotfix {

namespace {

constexpr int shared_width = local_width - station_width;  // of an observation: target, size, lens
constexpr int corner_width = 8;                            // of a tag's four
using Corners = Eigen::Matrix<double, corner_width, corner_width>;
using StationSquare = Eigen::Matrix<double, station_width, station_width>;
using StationRows = Eigen::Matrix<double, station_width, Eigen::Dynamic>;

// Sums over the sightings of one photo.
struct PhotoSums {
  std::vector<int> observations{};
  std::vector<Eigen::Index> columns{};  // of the joint covariance that it touches
  StationSquare normal = StationSquare::Zero();
  StationRows coupling{};  // a column for each of `columns`
};

std::array<Eigen::Index, shared_width> joint_columns(const Bundle& bundle,
                                                     const BundleObservation& observation) {
  const auto first_size = static_cast<Eigen::Index>(target_width * bundle.targets.size());
  const auto first_lens = first_size + static_cast<Eigen::Index>(bundle.sizes.size());
  std::array<Eigen::Index, shared_width> columns{};
  for (int k = 0; k < target_width; ++k) columns[k] = target_width * observation.target + k;
  columns[target_width] = first_size + bundle.targets[observation.target].size;
  for (int k = 0; k < lens_parameter_count; ++k)
    columns[target_width + 1 + k] =
        first_lens + lens_parameter_count * bundle.stations[observation.station].lens + k;
  return columns;
}

class CentreMisfit {
 public:
  CentreMisfit(const Bundle& bundle, const BundleCovariance& found)
      : bundle_(bundle), found_(found), place_(found.joint.cols(), -1) {}

  void add(const std::vector<int>& observations, const std::vector<bool>& is_odd) {
    PhotoSums photo = sums_of(observations);
    const Eigen::LLT<StationSquare> factor(photo.normal);
    const StationSquare alone = factor.solve(StationSquare::Identity());
    const StationRows substitution = factor.solve(photo.coupling);
    const Eigen::MatrixXd shared = found_.joint(photo.columns, photo.columns);
    const StationRows cross = -substitution * shared;
    const StationSquare own = alone - cross * substitution.transpose();
    for (const int observation : observations)
      if (!is_odd[bundle_.observations[observation].target]) add_centre(observation, own, cross);
    for (const Eigen::Index column : photo.columns) place_[column] = -1;
  }

  double ratio() const {
    constexpr double fewest = 10.0;  // degrees of freedom, too few to say anything
    return expected_ < fewest ? 1.0 : squares_ / expected_;
  }

 private:
  PhotoSums sums_of(const std::vector<int>& observations) {
    PhotoSums photo;
    for (const int i : observations)
      for (const Eigen::Index column : joint_columns(bundle_, bundle_.observations[i]))
        if (place_[column] < 0) {
          place_[column] = static_cast<Eigen::Index>(photo.columns.size());
          photo.columns.push_back(column);
        }
    photo.coupling.setZero(station_width, static_cast<Eigen::Index>(photo.columns.size()));
    for (const int i : observations) {
      const auto jacobian = local_jacobian(bundle_, bundle_.observations[i]);
      const auto by_station = jacobian.leftCols<station_width>();
      photo.normal += by_station.transpose() * by_station;
      const StationRows coupling = by_station.transpose() * jacobian.rightCols<shared_width>();
      const auto columns = joint_columns(bundle_, bundle_.observations[i]);
      for (int k = 0; k < shared_width; ++k) photo.coupling.col(place_[columns[k]]) += coupling.col(k);
    }
    constexpr double held = 1e30;
    for (int k = 0; k < photo_shift_count; ++k) {
      const double sigma = bundle_.shift_sigma[k];
      photo.normal(first_shift + k, first_shift + k) += sigma > 0.0 ? 1.0 / (sigma * sigma) : held;
    }
    return photo;
  }

  // What unknowns take up of the centre's covariance V is a C a', a its derivatives and C their joint
  // covariance: of the photo's own unknowns, of those with shared ones, of shared ones.
  void add_centre(int index, const StationSquare& own, const StationRows& cross) {
    const BundleObservation& observation = bundle_.observations[index];
    Eigen::Matrix<double, 2, corner_width> mean;
    for (int corner = 0; corner < 4; ++corner)
      mean.middleCols<2>(2 * corner) = 0.25 * Eigen::Matrix2d::Identity();
    const Corners whitening = observation.square_root_information;
    const Eigen::Matrix<double, 2, corner_width> from_whitened = mean * whitening.inverse();
    const Eigen::Matrix<double, 2, local_width> jacobian =
        from_whitened * local_jacobian(bundle_, observation);
    Eigen::Matrix<double, local_width, local_width> joint;
    joint.topLeftCorner<station_width, station_width>() = own;
    const auto columns = joint_columns(bundle_, observation);
    for (int a = 0; a < shared_width; ++a) {
      joint.col(station_width + a).head<station_width>() = cross.col(place_[columns[a]]);
      joint.row(station_width + a).head<station_width>() = cross.col(place_[columns[a]]).transpose();
      for (int b = 0; b < shared_width; ++b)
        joint(station_width + b, station_width + a) = found_.joint(columns[b], columns[a]);
    }
    const Eigen::Matrix2d taken_up = jacobian * joint * jacobian.transpose();
    const Eigen::Matrix2d weight = (from_whitened * from_whitened.transpose()).inverse();
    const Eigen::Vector2d miss_px = mean * residuals_px(bundle_, observation);
    squares_ += miss_px.dot(weight * miss_px);
    expected_ += 2.0 - (weight * taken_up).trace();
  }

  const Bundle& bundle_;
  const BundleCovariance& found_;
  std::vector<Eigen::Index> place_;  // of a joint column among the photo's; -1: not among them
  double squares_ = 0.0, expected_ = 0.0;
};

}  // namespace

double centre_misfit(const StartedBundle& started, const BundleCovariance& found) {
  const Bundle& bundle = started.bundle;
  std::vector<bool> is_odd(bundle.targets.size());
  for (std::size_t i = 0; i < bundle.observations.size(); ++i)
    if (started.used[i].suspected && !started.used[i].with_photo)
      is_odd[bundle.observations[i].target] = true;
  std::vector<std::vector<int>> of_station(bundle.stations.size());
  for (std::size_t i = 0; i < bundle.observations.size(); ++i)
    if (!bundle.observations[i].rejected &&
        bundle.observations[i].square_root_information.rows() == corner_width)
      of_station[bundle.observations[i].station].push_back(static_cast<int>(i));
  std::erase_if(of_station, [](const std::vector<int>& observations) { return observations.empty(); });
  constexpr std::size_t most_photos = 64;  // more tell the ratio no better than it is needed
  CentreMisfit misfit(bundle, found);
  for (std::size_t i = 0; i < of_station.size(); i += 1 + of_station.size() / (most_photos + 1))
    misfit.add(of_station[i], is_odd);
  return misfit.ratio();
}

double widened_for_bent_pictures(double centre_misfit) {
  constexpr double usual = 1.5;          // of sharp photos through a lens as it should be
  constexpr double neighbourhood = 5.0;  // tags that err alike, found on simulated pictures
  return std::sqrt(1.0 + neighbourhood * std::max(0.0, centre_misfit - usual));
}

}  // namespace pivotfix
