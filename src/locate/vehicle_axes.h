// SPDX-License-Identifier: Apache-2.0
// The car's axes in the network, and everything's coordinates in them with derivatives. Private to the
// locate stage and its tests.
#pragma once

#include <string>

#include "locate/locate_hardpoints.h"
#include "locate/traced_network.h"

namespace pivotfix {

class VehicleAxes {
 public:
  // The axes' own uncertainty takes this many inputs from `first_own_input` on: a turn about z (rad), a shift
  // of the centre plane (mm), of a floor that is not quite even two tilts (rad) and its height (mm), and of
  // the body's level nose up and left up (rad).
  static constexpr int own_inputs = 7;

  // Throws Problem(refused) when the floor does not make a plane or the direction is not there.
  VehicleAxes(const TracedNetwork& network, const AxesRecipe& recipe, const std::string& reference,
              Eigen::Index first_own_input);

  // Standard deviations of the inputs.
  Eigen::Vector<double, own_inputs> own_sigma() const;

  // Call once, with the wheel centre (network axes) and +1 for a left corner, -1 for a right one.
  void set_origin(const Traced& wheel_centre_network, double side);

  // Half the track was measured with the car on its wheels, which stood this much higher or lower then than
  // in the photos. Axes that do not rest on it stay as they are.
  void widen_half_track(double off_height_mm);

  Traced point(const Traced& point_network) const;
  Traced direction(const Traced& direction_network) const;

  // Values alone.
  RigidTransform vehicle_from_network() const;

  CentrePlane centre_plane() const { return {centre_plane_words_, shift_sigma_mm_, turn_sigma_rad_}; }
  // The centre plane is set half a track, as measured, inboard of the wheel.
  bool rest_on_half_track() const { return middles_.empty(); }
  // Tags that were left out, floor tags that do not lie as flat as they should, in sentences; or that nothing
  // checks.
  const std::vector<std::string>& notes() const { return notes_; }

 private:
  Traced over_floor(const Traced& point_network) const;
  void choose_floor_tags();
  void take_floor();
  void refuse_uneven_floor(const std::vector<Traced>& floor) const;
  void judge_floor(const std::vector<Traced>& floor);
  void take_unevenness(const std::vector<Traced>& floor, const Eigen::Matrix<double, 3, 2>& along_network,
                       const Eigen::Vector2d& squares_along_mm2);
  double unexplained_squares_mm2(const std::vector<Traced>& floor,
                                 const Eigen::Matrix<double, 3, 2>& along_network) const;
  void require_width(int left, int right, const std::string& what) const;
  std::vector<int> placed(const std::vector<int>& tags, std::size_t fewest, const std::string& name);
  std::vector<std::pair<int, int>> placed_like_points();
  Traced forward_line();
  std::string unlike_words() const;
  std::string half_track_words(const std::string& besides = "") const;
  Traced lengthwise(const Traced& normal);
  void take_lengthwise(const Traced& normal, const Traced& line);
  void take_level();

  const TracedNetwork& network_;
  const AxesRecipe& recipe_;
  const std::string& reference_;
  Eigen::Index first_own_input_;
  Eigen::Matrix3d axes_from_network_ = Eigen::Matrix3d::Identity();
  Eigen::MatrixXd turn_{};         // 3 x inputs: small turn of the axes, as a vector in vehicle axes
  std::vector<int> floor_tags_{};  // those of the recipe that take part
  Traced floor_middle_{}, floor_normal_{};
  Traced origin_{};                // over the floor's middle, in the axes' directions
  std::vector<Traced> middles_{};  // points of the centre plane, in the network
  double turn_sigma_rad_ = 0.0, shift_sigma_mm_ = 0.0, floor_height_sigma_mm_ = 0.0;
  Eigen::Vector2d floor_tilt_sigma_rad_ = Eigen::Vector2d::Zero();
  std::string centre_plane_words_{};
  std::vector<std::string> notes_{};
};

}  // namespace pivotfix
