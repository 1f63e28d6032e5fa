// SPDX-License-Identifier: Apache-2.0
#include "tag_scene.h"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>

#include "render/jpeg_round_trip.h"

namespace pivotfix::test {
namespace {

using Polygon = std::vector<Eigen::Vector2d>;

// The part of a polygon where coordinate `axis` is on the kept side of `limit` (Sutherland and Hodgman).
Polygon clip(const Polygon& polygon, int axis, double limit, bool keep_above) {
  const auto inside = [&](const Eigen::Vector2d& p) {
    return keep_above ? p(axis) >= limit : p(axis) <= limit;
  };
  Polygon kept;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    const Eigen::Vector2d& a = polygon[i];
    const Eigen::Vector2d& b = polygon[(i + 1) % polygon.size()];
    if (inside(a)) kept.push_back(a);
    if (inside(a) != inside(b)) kept.push_back(a + (b - a) * ((limit - a(axis)) / (b(axis) - a(axis))));
  }
  return kept;
}

double area(const Polygon& polygon) {
  double twice = 0.0;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    const Eigen::Vector2d& a = polygon[i];
    const Eigen::Vector2d& b = polygon[(i + 1) % polygon.size()];
    twice += a.x() * b.y() - a.y() * b.x();
  }
  return 0.5 * std::abs(twice);
}

// Where a convex slice one pixel high reaches from its bottom to its top; empty (from > to) if nowhere.
std::pair<double, double> full_height_span(const Polygon& slice, int y) {
  constexpr double on_edge = 1e-9;
  constexpr double far = 1e9;
  double low_from = far, low_to = -far, high_from = far, high_to = -far;
  for (const auto& p : slice) {
    if (p.y() < y - 0.5 + on_edge) {
      low_from = std::min(low_from, p.x());
      low_to = std::max(low_to, p.x());
    }
    if (p.y() > y + 0.5 - on_edge) {
      high_from = std::min(high_from, p.x());
      high_to = std::max(high_to, p.x());
    }
  }
  return {std::max(low_from, high_from), std::min(low_to, high_to)};
}

// Calls visit(pixel x, pixel y, share of the pixel covered). Pixel (0, 0) reaches from -0.5 to 0.5.
void for_each_share(const Polygon& polygon, int width, int height,
                    const std::function<void(int, int, double)>& visit) {
  double low = polygon[0].y();
  double high = low;
  for (const auto& p : polygon) {
    low = std::min(low, p.y());
    high = std::max(high, p.y());
  }
  const int first_row = std::max(0, static_cast<int>(std::floor(low + 0.5)));
  const int last_row = std::min(height - 1, static_cast<int>(std::floor(high + 0.5)));
  for (int y = first_row; y <= last_row; ++y) {
    const Polygon row = clip(clip(polygon, 1, y - 0.5, true), 1, y + 0.5, false);
    if (row.size() < 3) continue;
    double left = row[0].x();
    double right = left;
    for (const auto& p : row) {
      left = std::min(left, p.x());
      right = std::max(right, p.x());
    }
    const int first = std::max(0, static_cast<int>(std::floor(left + 0.5)));
    const int last = std::min(width - 1, static_cast<int>(std::floor(right + 0.5)));
    const auto [full_from, full_to] = full_height_span(row, y);
    for (int x = first; x <= last; ++x) {
      if (x - 0.5 >= full_from && x + 0.5 <= full_to) {
        visit(x, y, 1.0);
        continue;
      }
      const Polygon cell = clip(clip(row, 0, x - 0.5, true), 0, x + 0.5, false);
      if (cell.size() >= 3) visit(x, y, area(cell));
    }
  }
}

// Beyond the rim the rim's values go on.
std::vector<double> blurred(const std::vector<double>& values, int width, int height, double sigma) {
  if (sigma <= 0.0) return values;
  const int reach = static_cast<int>(std::ceil(4.5 * sigma));
  std::vector<double> kernel(static_cast<std::size_t>(2 * reach + 1));
  double sum = 0.0;
  for (int i = -reach; i <= reach; ++i) sum += kernel[i + reach] = std::exp(-0.5 * i * i / (sigma * sigma));
  for (double& weight : kernel) weight /= sum;
  std::vector<double> across(values.size());
  std::vector<double> padded(static_cast<std::size_t>(width + 2 * reach));
  for (int y = 0; y < height; ++y) {
    const double* row = values.data() + static_cast<std::size_t>(y) * width;
    for (int x = -reach; x < width + reach; ++x) padded[x + reach] = row[std::clamp(x, 0, width - 1)];
    double* to = across.data() + static_cast<std::size_t>(y) * width;
    for (std::size_t i = 0; i < kernel.size(); ++i) {
      for (int x = 0; x < width; ++x) to[x] += kernel[i] * padded[x + i];
    }
  }
  std::vector<double> both(values.size());
  for (int y = 0; y < height; ++y) {
    double* to = both.data() + static_cast<std::size_t>(y) * width;
    for (int i = -reach; i <= reach; ++i) {
      const double* row = across.data() + static_cast<std::size_t>(std::clamp(y + i, 0, height - 1)) * width;
      for (int x = 0; x < width; ++x) to[x] += kernel[i + reach] * row[x];
    }
  }
  return both;
}

// IEC 61966-2-1.
double srgb_from_linear(double light) {
  return light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1.0 / 2.4) - 0.055;
}

}  // namespace

Eigen::Vector2d TagPose::at(double x, double y) const {
  return (picture_from_tag * Eigen::Vector3d(x, y, 1.0)).hnormalized();
}

TagCorners TagPose::corners() const {
  return {at(-4, -4), at(4, -4), at(4, 4), at(-4, 4)};
}

TagPose make_pose(const PoseNumbers& numbers) {
  // Camera axes: x right, y down, z ahead. The tag's y points up, its z towards the camera.
  const Eigen::Vector3d axis(std::cos(numbers.tilt_axis_rad), std::sin(numbers.tilt_axis_rad), 0.0);
  const Eigen::Matrix3d facing = Eigen::Vector3d(1.0, -1.0, -1.0).asDiagonal();
  const Eigen::Matrix3d rotation =
      Eigen::AngleAxisd(numbers.tilt_rad, axis).toRotationMatrix() * facing *
      Eigen::AngleAxisd(numbers.roll_rad, Eigen::Vector3d::UnitZ()).toRotationMatrix();
  const double distance = 8.0 * numbers.focal_px / numbers.side_px;  // in cells
  Eigen::Matrix3d camera_from_tag;
  camera_from_tag << rotation.col(0), rotation.col(1), Eigen::Vector3d(0.0, 0.0, distance);
  Eigen::Matrix3d picture_from_camera;
  picture_from_camera << numbers.focal_px, 0.0, numbers.centre_px.x(), 0.0, numbers.focal_px,
      numbers.centre_px.y(), 0.0, 0.0, 1.0;
  return {picture_from_camera * camera_from_tag};
}

TagScene::TagScene(int width_px, int height_px, double ground)
    : width_px_(width_px),
      height_px_(height_px),
      light_(static_cast<std::size_t>(width_px) * height_px * finer * finer, ground) {}

// Pixel centres are whole numbers on both grids.
TagScene::Polygon TagScene::on_fine_grid(const Polygon& polygon) {
  Polygon fine;
  for (const Eigen::Vector2d& p : polygon) fine.emplace_back((p * finer).array() + 0.5 * (finer - 1));
  return fine;
}

void TagScene::add_polygon(const Polygon& polygon, double light_difference) {
  for_each_share(on_fine_grid(polygon), fine_width(), fine_height(), [&](int x, int y, double share) {
    light_[static_cast<std::size_t>(y) * fine_width() + x] += share * light_difference;
  });
}

void TagScene::cover_polygon(const Polygon& polygon, double light) {
  for_each_share(on_fine_grid(polygon), fine_width(), fine_height(), [&](int x, int y, double share) {
    double& value = light_[static_cast<std::size_t>(y) * fine_width() + x];
    value += share * (light - value);
  });
}

void TagScene::draw_tag(int tag_number, const TagPose& pose, double margin_cells, double black,
                        double white) {
  const auto square = [&](double left, double bottom, double size) {
    return Polygon{pose.at(left, bottom), pose.at(left + size, bottom), pose.at(left + size, bottom + size),
                   pose.at(left, bottom + size)};
  };
  cover_polygon(square(-4.0 - margin_cells, -4.0 - margin_cells, 8.0 + 2.0 * margin_cells), white);
  add_polygon(square(-4.0, -4.0, 8.0), black - white);
  const auto is_black = tag_pattern(tag_number);
  for (int row = 0; row < tag_cells; ++row) {
    for (int column = 0; column < tag_cells; ++column) {
      if (!is_black[row][column]) add_polygon(square(column - 4.0, 3.0 - row, 1.0), white - black);
    }
  }
}

void TagScene::draw_disc(const Eigen::Vector2d& centre_px, double radius_px, double light) {
  Polygon polygon;
  for (int i = 0; i < 64; ++i) {
    const double angle = 2.0 * std::numbers::pi * i / 64.0;
    polygon.emplace_back(centre_px + radius_px * Eigen::Vector2d(std::cos(angle), std::sin(angle)));
  }
  cover_polygon(polygon, light);
}

void TagScene::draw_rectangle(const Eigen::Vector2d& low_px, const Eigen::Vector2d& high_px, double light) {
  cover_polygon({low_px, {high_px.x(), low_px.y()}, high_px, {low_px.x(), high_px.y()}}, light);
}

void TagScene::draw_quad(const std::array<Eigen::Vector2d, 4>& corner_px, double light) {
  cover_polygon({corner_px.begin(), corner_px.end()}, light);
}

void TagScene::shade(double right_share) {
  for (int y = 0; y < fine_height(); ++y) {
    for (int x = 0; x < fine_width(); ++x) {
      light_[static_cast<std::size_t>(y) * fine_width() + x] *=
          1.0 + (right_share - 1.0) * x / (fine_width() - 1.0);
    }
  }
}

GreyPicture TagScene::shoot(const Camera& camera, std::mt19937_64& random) const {
  const std::vector<double> fine = blurred(light_, fine_width(), fine_height(), finer * camera.blur_px);
  std::vector<double> grey(static_cast<std::size_t>(width_px_) * height_px_);
  for (int y = 0; y < fine_height(); ++y) {
    for (int x = 0; x < fine_width(); ++x) {
      grey[static_cast<std::size_t>(y / finer) * width_px_ + x / finer] +=
          fine[static_cast<std::size_t>(y) * fine_width() + x] / (finer * finer);
    }
  }
  for (double& value : grey) value = 255.0 * (camera.tone_curve ? srgb_from_linear(value) : value);
  std::normal_distribution<double> noise(0.0, 1.0);
  for (double& value : grey) value += camera.noise_grey * noise(random);
  if (camera.sharpening > 0.0) {
    const std::vector<double> soft = blurred(grey, width_px_, height_px_, 1.0);
    for (std::size_t i = 0; i < grey.size(); ++i) grey[i] += camera.sharpening * (grey[i] - soft[i]);
  }
  GreyPicture picture{width_px_, height_px_, std::vector<std::uint8_t>(grey.size())};
  for (std::size_t i = 0; i < grey.size(); ++i) {
    picture.grey[i] = static_cast<std::uint8_t>(std::lround(std::clamp(grey[i], 0.0, 255.0)));
  }
  if (camera.jpeg_quality > 0) render::through_jpeg(picture, camera.jpeg_quality);
  return picture;
}

}  // namespace pivotfix::test
