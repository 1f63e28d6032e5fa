// SPDX-License-Identifier: Apache-2.0
#include "lens/lens_file.h"

#include <array>
#include <charconv>

#include "lens/yaml_text.h"

namespace pivotfix {
namespace {

// The shortest text that reads back as the same number.
std::string exact(double value) {
  std::array<char, 32> digits;
  const auto [end, error] = std::to_chars(digits.data(), digits.data() + digits.size(), value);
  return {digits.data(), end};
}

std::string quoted(const std::string& text) {
  std::string result = "\"";
  for (const char c : text) {
    if (static_cast<unsigned char>(c) < 0x20U || c == 0x7F) continue;  // what a camera wrote by mistake
    if (c == '"' || c == '\\') result += '\\';
    result += c;
  }
  return result + "\"";
}

class YamlWriter {
 public:
  explicit YamlWriter(const std::string& comment) : text_("%YAML:1.0\n---\n" + comment) {}

  void value(const std::string& key, const std::string& content) { text_ += key + ": " + content + "\n"; }

  void matrix(const std::string& key, const Eigen::MatrixXd& values) {
    text_ += key + ": !!opencv-matrix\n   rows: " + std::to_string(values.rows()) +
             "\n   cols: " + std::to_string(values.cols()) + "\n   dt: d\n   data: [ ";
    for (Eigen::Index row = 0; row < values.rows(); ++row)
      for (Eigen::Index column = 0; column < values.cols(); ++column) {
        const bool first = row == 0 && column == 0;
        text_ += (first ? "" : column == 0 ? ",\n       " : ", ") + exact(values(row, column));
      }
    text_ += " ]\n";
  }

  std::string text() const { return text_; }

 private:
  std::string text_{};
};

}  // namespace

std::string lens_file_text(const LensFile& file) {
  const auto& v = file.lens.values;
  Eigen::Matrix3d camera_matrix = Eigen::Matrix3d::Identity();
  camera_matrix(0, 0) = v[lens_focal_px];
  camera_matrix(1, 1) = v[lens_focal_px] * v[lens_aspect];
  camera_matrix(0, 2) = v[lens_principal_x_px];
  camera_matrix(1, 2) = v[lens_principal_y_px];
  Eigen::VectorXd distortion(5);
  distortion << v[lens_k1], v[lens_k2], v[lens_p1], v[lens_p2], v[lens_k3];

  YamlWriter yaml(
      "# A camera's lens, calibrated by pivotfix. Pixel (0, 0) is the centre of the first pixel.\n");
  yaml.value("pivotfix_lens", "1");
  yaml.value("camera_make", quoted(file.camera.make));
  yaml.value("camera_model", quoted(file.camera.model));
  yaml.value("lens_model", quoted(file.camera.lens_model));
  yaml.value("focal_length_mm", exact(file.camera.focal_length_mm));
  yaml.value("focal_length_35mm_mm", exact(file.camera.focal_length_35mm_mm));
  yaml.value("digital_zoom", exact(file.camera.digital_zoom));
  yaml.value("image_width", std::to_string(file.camera.width_px));
  yaml.value("image_height", std::to_string(file.camera.height_px));
  yaml.matrix("camera_matrix", camera_matrix);
  yaml.matrix("distortion_coefficients", distortion);
  yaml.value("covariance_order", quoted(lens_covariance_order));
  yaml.matrix("covariance", file.covariance);
  yaml.value("principal_point_spread_px", exact(file.spread[0]));
  yaml.value("focal_length_spread", exact(file.spread[2]));
  yaml.value("photos", std::to_string(file.photos));
  yaml.value("residual_px", exact(file.residual_px));
  return yaml.text();
}

LensCovariance covariance_on_another_day(const LensFile& file) {
  LensCovariance covariance = file.covariance;
  const double focal_spread_px = file.spread[2] * file.lens.focal_px();
  covariance(lens_focal_px, lens_focal_px) += focal_spread_px * focal_spread_px;
  covariance(lens_principal_x_px, lens_principal_x_px) += file.spread[0] * file.spread[0];
  covariance(lens_principal_y_px, lens_principal_y_px) += file.spread[1] * file.spread[1];
  return covariance;
}

}  // namespace pivotfix
