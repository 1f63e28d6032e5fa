// SPDX-License-Identifier: Apache-2.0
// What is believed of a lens file, and what is not: it may come from anywhere.
#include <Eigen/Eigenvalues>
#include <Eigen/Geometry>
#include <Eigen/LU>
#include <algorithm>
#include <cmath>

#include "base/problem.h"
#include "lens/lens_file.h"
#include "lens/yaml_text.h"

namespace pivotfix {
namespace {

class Reader {
 public:
  Reader(const std::string& text, const std::string& name)
      : name_(name), entries_(parse_yaml_text(text, name)) {}

  LensFile read() {
    LensFile file;
    file.name = name_;
    read_camera(file.camera);
    read_lens(file);
    read_covariance(file);
    file.spread[0] = file.spread[1] = number_between("principal_point_spread_px", 0.0, 1000.0, 0.0);
    file.spread[2] = number_between("focal_length_spread", 0.0, 0.5, 0.0);
    file.photos = static_cast<int>(number_between("photos", 0.0, 1e6, 0.0));
    file.residual_px = number_between("residual_px", 0.0, 1e3, 0.0);
    return file;
  }

 private:
  [[noreturn]] void fail(const std::string& key, const std::string& what) const {
    const auto place = entries_.find(key);
    throw Problem(ProblemKind::input, what, "Make the file anew with: pivotfix lens",
                  Place{name_, place == entries_.end() ? 0 : place->second.line});
  }

  const YamlEntry& require(const std::string& key) const {
    const auto place = entries_.find(key);
    if (place == entries_.end()) fail(key, "The lens file has no \"" + key + "\".");
    return place->second;
  }

  std::string text(const std::string& key) const {
    const auto place = entries_.find(key);
    return place == entries_.end() ? "" : place->second.scalar;
  }

  double number_between(const std::string& key, double least, double most) const {
    const YamlEntry& entry = require(key);
    const double value = yaml_number(entry.scalar, key, name_, entry.line);
    if (value < least || value > most)
      fail(key, "\"" + key + "\" is " + entry.scalar + ": no camera has that.");
    return value;
  }
  double number_between(const std::string& key, double least, double most, double when_missing) const {
    return entries_.contains(key) ? number_between(key, least, most) : when_missing;
  }

  const Eigen::MatrixXd& matrix(const std::string& key, Eigen::Index rows, Eigen::Index columns) const {
    const YamlEntry& entry = require(key);
    if (!entry.is_matrix || entry.matrix.rows() != rows || entry.matrix.cols() != columns)
      fail(key, "\"" + key + "\" is no matrix of " + std::to_string(rows) + " x " + std::to_string(columns) +
                    " numbers.");
    return entry.matrix;
  }

  int whole(const std::string& key) const {
    constexpr double widest_picture_px = 100000.0;
    const double value = number_between(key, 16.0, widest_picture_px);
    if (value != std::floor(value)) fail(key, "\"" + key + "\" is no whole number.");
    return static_cast<int>(value);
  }

  void read_camera(CameraDescription& camera) const {
    camera.make = text("camera_make");
    camera.model = text("camera_model");
    camera.lens_model = text("lens_model");
    camera.focal_length_mm = number_between("focal_length_mm", 0.0, 1e5, 0.0);
    camera.focal_length_35mm_mm = number_between("focal_length_35mm_mm", 0.0, 1e5, 0.0);
    camera.digital_zoom = number_between("digital_zoom", 0.0, 1e3, 1.0);
    camera.width_px = whole("image_width");
    camera.height_px = whole("image_height");
  }

  void read_lens(LensFile& file) const {
    const Eigen::MatrixXd& m = matrix("camera_matrix", 3, 3);
    if (m(0, 1) != 0.0 || m(1, 0) != 0.0 || m(2, 0) != 0.0 || m(2, 1) != 0.0 || m(2, 2) != 1.0)
      fail("camera_matrix", "\"camera_matrix\" is not [fx 0 cx; 0 fy cy; 0 0 1].");
    const double wider_px = std::max(file.camera.width_px, file.camera.height_px);
    // From 150 degrees wide to a telescope: beyond, it is another unit or another camera (common practice).
    if (!(m(0, 0) > 0.13 * wider_px && m(0, 0) < 50.0 * wider_px) || std::abs(m(1, 1) / m(0, 0) - 1.0) > 0.1)
      fail("camera_matrix", "The focal length does not belong to a picture of this size.");
    if (!(m(0, 2) > 0.0 && m(0, 2) < file.camera.width_px && m(1, 2) > 0.0 &&
          m(1, 2) < file.camera.height_px))
      fail("camera_matrix", "The principal point lies outside the picture.");
    const Eigen::VectorXd d = distortion();
    file.lens.values = {m(0, 0), m(1, 1) / m(0, 0), m(0, 2), m(1, 2), d[0], d[1], d[4], d[2], d[3]};
    check_one_to_one(file);
  }

  // OpenCV writes 4, 5 or more numbers, as a row or a column; what is beyond Brown's model must be zero.
  Eigen::VectorXd distortion() const {
    const YamlEntry& entry = require("distortion_coefficients");
    const Eigen::MatrixXd& m = entry.matrix;
    if (!entry.is_matrix || (m.rows() != 1 && m.cols() != 1) || m.size() < 4)
      fail("distortion_coefficients", "\"distortion_coefficients\" are not k1 k2 p1 p2 k3.");
    Eigen::VectorXd five = Eigen::VectorXd::Zero(5);
    for (Eigen::Index i = 0; i < m.size(); ++i) {
      if (i < 5)
        five[i] = m(i);
      else if (m(i) != 0.0)
        fail("distortion_coefficients",
             "The distortion has more terms than k1 k2 p1 p2 k3: that model is not ours.");
    }
    return five;
  }

  void check_one_to_one(const LensFile& file) const {
    constexpr int places = 16;  // along each side of the picture
    for (int i = 0; i <= places; ++i) {
      const double share = static_cast<double>(i) / places;
      const double x_px = share * file.camera.width_px - 0.5, y_px = share * file.camera.height_px - 0.5;
      const double right_px = file.camera.width_px - 0.5, bottom_px = file.camera.height_px - 0.5;
      for (const Eigen::Vector2d& rim_px : {Eigen::Vector2d(x_px, -0.5), Eigen::Vector2d(x_px, bottom_px),
                                            Eigen::Vector2d(-0.5, y_px), Eigen::Vector2d(right_px, y_px)})
        if (!is_one_to_one_up_to(file.lens, rim_px))
          fail("distortion_coefficients", "This distortion folds the picture over.");
    }
  }

  // From the middle to there, not there alone: a picture may fold and unfold again further out.
  static bool is_one_to_one_up_to(const Lens& lens, const Eigen::Vector2d& rim_px) {
    const auto direction = direction_from_pixel(lens, {}, rim_px);
    if (!direction) return false;
    constexpr int steps = 64;
    for (int step = 0; step <= steps; ++step) {
      const Eigen::Vector2d on_the_way = *direction * (static_cast<double>(step) / steps);
      const double stretch =
          pixel_derivatives(lens, {}, on_the_way.homogeneous()).by_direction.leftCols<2>().determinant();
      if (!(stretch > 0.0)) return false;
    }
    return true;
  }

  void read_covariance(LensFile& file) const {
    if (!entries_.contains("covariance"))
      fail("covariance", "The lens file does not say how well the lens is known: it has no \"covariance\".");
    if (require("covariance_order").scalar != lens_covariance_order)
      fail("covariance_order",
           std::string("The covariance is not in the order \"") + lens_covariance_order + "\".");
    const Eigen::MatrixXd& m = matrix("covariance", lens_parameter_count, lens_parameter_count);
    check_positive_definite(m);
    file.covariance = m;
  }

  // On the parameters that are not held; the others must have zero rows.
  void check_positive_definite(const Eigen::MatrixXd& m) const {
    std::vector<int> known;
    for (int i = 0; i < lens_parameter_count; ++i)
      if (m(i, i) != 0.0) known.push_back(i);
    Eigen::MatrixXd correlation(known.size(), known.size());
    for (std::size_t a = 0; a < known.size(); ++a) {
      if (!(m(known[a], known[a]) > 0.0)) fail("covariance", "The covariance has a negative variance.");
      for (std::size_t b = 0; b < known.size(); ++b)
        correlation(a, b) = m(known[a], known[b]) / std::sqrt(m(known[a], known[a]) * m(known[b], known[b]));
    }
    for (int i = 0; i < lens_parameter_count; ++i)
      for (int k = 0; k < lens_parameter_count; ++k) {
        const double scale = std::sqrt(std::abs(m(i, i) * m(k, k)));
        if (std::abs(m(i, k) - m(k, i)) > 1e-9 * scale || (scale == 0.0 && m(i, k) != 0.0))
          fail("covariance", "The covariance is not symmetric.");
      }
    if (m(lens_focal_px, lens_focal_px) == 0.0)
      fail("covariance", "The covariance says that the focal length is known exactly: it never is.");
    constexpr double least_eigenvalue = 1e-12;  // of the correlations: rounding of printed digits lies below
    if (Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd>(correlation).eigenvalues()[0] < least_eigenvalue)
      fail("covariance", "The covariance is not positive definite.");
  }

  std::string name_;
  std::map<std::string, YamlEntry> entries_;
};

}  // namespace

LensFile parse_lens_file(const std::string& text, const std::string& name) {
  return Reader(text, name).read();
}

}  // namespace pivotfix
