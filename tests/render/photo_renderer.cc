// SPDX-License-Identifier: Apache-2.0
#include "render/photo_renderer.h"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "render/background.h"
#include "render/jpeg_round_trip.h"

namespace pivotfix::render {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr int finer = 2;  // fine cells per pixel and direction
constexpr float black_ink = 0.035F, white_paper = 0.80F;

Vector2d distorted(const Lens& lens, double u, double v) {
  const auto& a = lens.values;
  const double rho = u * u + v * v;
  const double stretch = 1 + a[lens_k1] * rho + a[lens_k2] * rho * rho + a[lens_k3] * rho * rho * rho;
  return {u * stretch + 2 * a[lens_p1] * u * v + a[lens_p2] * (rho + 2 * u * u),
          v * stretch + a[lens_p1] * (rho + 2 * v * v) + 2 * a[lens_p2] * u * v};
}

// By fixed-point iteration: slow convergence is enough for mild lenses.
Vector3d ray_of(const Lens& lens, const Vector2d& pixel) {
  const auto& a = lens.values;
  const Vector2d wanted((pixel.x() - a[lens_principal_x_px]) / a[lens_focal_px],
                        (pixel.y() - a[lens_principal_y_px]) / (a[lens_focal_px] * a[lens_aspect]));
  Vector2d found = wanted;
  for (int i = 0; i < 30; ++i) {
    const Vector2d miss = wanted - distorted(lens, found.x(), found.y());
    found += miss;
    if (miss.squaredNorm() < 1e-20) break;
  }
  return {found.x(), found.y(), 1.0};
}

struct Box {
  int left = 0, top = 0, right = -1, bottom = -1;  // pixels, inclusive
  bool empty() const { return right < left || bottom < top; }
};

std::vector<Vector2d> outline(const PaperTag& tag, const Shot& shot, double half_cells) {
  std::vector<Vector2d> outline;
  const double half_mm = half_cells * tag.side_mm / tag_cells;
  constexpr int steps = 6;
  const std::array<Vector2d, 4> corner{Vector2d(-1, -1), {1, -1}, {1, 1}, {-1, 1}};
  for (int k = 0; k < 4; ++k)
    for (int i = 0; i < steps; ++i) {
      const Vector2d place = corner[k] + (corner[(k + 1) % 4] - corner[k]) * i / steps;
      outline.push_back(
          picture_of(shot, tag.world_from_tag * Vector3d(place.x() * half_mm, place.y() * half_mm, 0.0)));
    }
  return outline;
}

Box bounds(const std::vector<Vector2d>& points, const Shot& shot) {
  Vector2d low = points[0], high = points[0];
  for (const Vector2d& p : points) {
    low = low.cwiseMin(p);
    high = high.cwiseMax(p);
  }
  return {std::max(0, static_cast<int>(std::floor(low.x())) - 1),
          std::max(0, static_cast<int>(std::floor(low.y())) - 1),
          std::min(shot.width_px - 1, static_cast<int>(std::ceil(high.x())) + 1),
          std::min(shot.height_px - 1, static_cast<int>(std::ceil(high.y())) + 1)};
}

double tilt_of(const PaperTag& tag, const Shot& shot) {
  const Vector3d eye = shot.camera_from_world.inverse().translation_mm;
  const Vector3d normal = tag.world_from_tag.rotation * Vector3d::UnitZ();
  return std::acos(std::clamp(normal.dot((eye - tag.world_from_tag.translation_mm).normalized()), -1.0, 1.0));
}

bool shows_its_face(const PaperTag& tag, const Shot& shot) {
  const Vector3d seen = shot.camera_from_world * tag.world_from_tag.translation_mm;
  if (seen.z() < 4.0 * tag.side_mm || tilt_of(tag, shot) > 1.48) return false;
  return std::hypot(seen.x(), seen.y()) < 0.9 * seen.z();
}

// What the paper shows at a place in cells from its middle; the ground beyond it is no paper.
enum class Paper { none, black, white };

class Drawing {
 public:
  explicit Drawing(const PaperTag& tag) : pattern_(tag_pattern(tag.number)), reach_(4.0 + tag.margin_cells) {}
  Paper at(double x, double y) const {
    if (std::abs(x) > reach_ || std::abs(y) > reach_) return Paper::none;
    if (std::abs(x) >= 4.0 || std::abs(y) >= 4.0) return Paper::white;
    return pattern_[static_cast<std::size_t>(4.0 - y)][static_cast<std::size_t>(x + 4.0)] ? Paper::black
                                                                                          : Paper::white;
  }

 private:
  std::array<std::array<bool, tag_cells>, tag_cells> pattern_;
  double reach_;
};

struct Mixture {
  float light = 0.0F;
  float covered = 0.0F;
};

// Mean over one fine cell with the given corners in tag cells (in reading order); the sampling grid is
// shifted at random, so that its steps average out along an edge.
Mixture mean_over(const Drawing& drawing, const std::array<Vector2d, 4>& corner, std::mt19937_64& random) {
  const Paper first = drawing.at(corner[0].x(), corner[0].y());
  const auto same = [&](const Vector2d& p) { return drawing.at(p.x(), p.y()) == first; };
  const Vector2d middle = 0.25 * (corner[0] + corner[1] + corner[2] + corner[3]);
  if (same(corner[1]) && same(corner[2]) && same(corner[3]) && same(middle)) {
    if (first == Paper::none) return {};
    return {first == Paper::black ? black_ink : white_paper, 1.0F};
  }
  constexpr int samples = 8;
  const double shift_x = static_cast<double>(random() >> 11) * 0x1p-53;
  const double shift_y = static_cast<double>(random() >> 11) * 0x1p-53;
  int black = 0, white = 0;
  for (int j = 0; j < samples; ++j) {
    const double t = (j + shift_y) / samples;
    const Vector2d left = corner[0] + t * (corner[2] - corner[0]);
    const Vector2d right = corner[1] + t * (corner[3] - corner[1]);
    for (int i = 0; i < samples; ++i) {
      const Vector2d place = left + (i + shift_x) / samples * (right - left);
      const Paper paper = drawing.at(place.x(), place.y());
      black += paper == Paper::black;
      white += paper == Paper::white;
    }
  }
  const int covered = black + white;
  if (covered == 0) return {};
  return {(static_cast<float>(black) * black_ink + static_cast<float>(white) * white_paper) /
              static_cast<float>(covered),
          static_cast<float>(covered) / (samples * samples)};
}

// Places in tag cells of all fine-cell corners of a box, row by row.
std::vector<Vector2d> fine_corners(const PaperTag& tag, const Shot& shot, const Box& box, int& across) {
  const RigidTransform tag_from_camera = (shot.camera_from_world * tag.world_from_tag).inverse();
  const double cells_per_mm = tag_cells / tag.side_mm;
  across = finer * (box.right - box.left + 1) + 1;
  const int down = finer * (box.bottom - box.top + 1) + 1;
  std::vector<Vector2d> places;
  places.reserve(static_cast<std::size_t>(across) * down);
  for (int j = 0; j < down; ++j)
    for (int i = 0; i < across; ++i) {
      const Vector2d pixel(box.left - 0.5 + static_cast<double>(i) / finer,
                           box.top - 0.5 + static_cast<double>(j) / finer);
      const Vector3d direction = tag_from_camera.rotation * ray_of(shot.lens, pixel);
      const Vector3d& eye = tag_from_camera.translation_mm;
      const double far = -eye.z() / direction.z();
      places.emplace_back(cells_per_mm * (eye + far * direction).head<2>());
    }
  return places;
}

void draw_tag(const PaperTag& tag, const Shot& shot, cv::Mat_<float>& fine, std::mt19937_64& random) {
  const Box box = bounds(outline(tag, shot, 4.0 + tag.margin_cells), shot);
  if (box.empty()) return;
  int across = 0;
  const auto places = fine_corners(tag, shot, box, across);
  const Drawing drawing(tag);
  const Vector3d lamp = Vector3d(0.3, 0.8, 0.9).normalized();
  const double facing = lamp.dot(tag.world_from_tag.rotation * Vector3d::UnitZ());
  const auto lit = static_cast<float>(0.55 + 0.45 * std::max(0.0, facing));
  for (int y = 0; y < finer * (box.bottom - box.top + 1); ++y)
    for (int x = 0; x < finer * (box.right - box.left + 1); ++x) {
      const std::size_t at = static_cast<std::size_t>(y) * across + x;
      const Mixture mixture = mean_over(
          drawing, {places[at], places[at + 1], places[at + across], places[at + across + 1]}, random);
      if (mixture.covered == 0.0F) continue;
      float& light = fine(finer * box.top + y, finer * box.left + x);
      light += mixture.covered * (lit * mixture.light - light);
    }
}

// Over-bright light clips only after the tone curve, as in a camera.
float coded(float light, bool tone_curve) {
  if (!tone_curve) return 255.0F * light;
  return 255.0F * (light <= 0.0031308F ? 12.92F * light : 1.055F * std::pow(light, 1.0F / 2.4F) - 0.055F);
}

void add_noise(cv::Mat_<float>& grey, double sigma, std::mt19937_64& random) {
  static const std::vector<float> deviates = [] {
    std::mt19937_64 own(7);
    std::normal_distribution<float> normal;
    std::vector<float> values(1 << 20);
    for (float& value : values) value = normal(own);
    return values;
  }();
  for (int y = 0; y < grey.rows; ++y) {
    const std::size_t from = random() % (deviates.size() - static_cast<std::size_t>(grey.cols));
    for (int x = 0; x < grey.cols; ++x) grey(y, x) += static_cast<float>(sigma) * deviates[from + x];
  }
}

GreyPicture develop(cv::Mat_<float>& fine, const Shot& shot, const Film& film, std::mt19937_64& random) {
  if (film.blur_px > 0.0) cv::GaussianBlur(fine, fine, {}, finer * film.blur_px);
  cv::Mat_<float> grey;
  cv::resize(fine, grey, cv::Size(shot.width_px, shot.height_px), 0, 0, cv::INTER_AREA);
  const auto exposure = static_cast<float>(film.exposure);
  for (float& value : grey) value = coded(exposure * value, film.tone_curve);
  add_noise(grey, film.noise_grey, random);
  if (film.sharpening > 0.0) {
    cv::Mat_<float> soft;
    cv::GaussianBlur(grey, soft, {}, 1.0);
    grey += film.sharpening * (grey - soft);
  }
  GreyPicture picture{shot.width_px, shot.height_px, {}};
  picture.grey.resize(grey.total());
  std::transform(grey.begin(), grey.end(), picture.grey.begin(), [](float value) {
    return static_cast<std::uint8_t>(std::lround(std::clamp(value, 0.0F, 255.0F)));
  });
  if (film.jpeg_quality > 0) through_jpeg(picture, film.jpeg_quality);
  return picture;
}

double distance_mm(const PaperTag& tag, const Shot& shot) {
  return (shot.camera_from_world * tag.world_from_tag.translation_mm).norm();
}

std::vector<cv::Point2f> polygon(const PaperTag& tag, const Shot& shot, double half_cells) {
  std::vector<cv::Point2f> points;
  for (const Vector2d& p : outline(tag, shot, half_cells))
    points.emplace_back(static_cast<float>(p.x()), static_cast<float>(p.y()));
  return points;
}

}  // namespace

Eigen::Vector2d picture_of(const Shot& shot, const Eigen::Vector3d& point_world_mm) {
  const Vector3d seen = shot.camera_from_world * point_world_mm;
  const Vector2d bent = distorted(shot.lens, seen.x() / seen.z(), seen.y() / seen.z());
  const auto& a = shot.lens.values;
  return {a[lens_focal_px] * bent.x() + a[lens_principal_x_px],
          a[lens_focal_px] * a[lens_aspect] * bent.y() + a[lens_principal_y_px]};
}

RigidTransform look_at(const Eigen::Vector3d& place_mm, const Eigen::Vector3d& aim_mm, double roll_rad) {
  const Vector3d ahead = (aim_mm - place_mm).normalized();
  const Vector3d right = ahead.cross(Vector3d::UnitZ()).normalized();
  Eigen::Matrix3d camera_from_world;
  camera_from_world << right.transpose(), ahead.cross(right).transpose(), ahead.transpose();
  const Eigen::Quaterniond turned =
      Eigen::AngleAxisd(-roll_rad, Vector3d::UnitZ()) * Eigen::Quaterniond(camera_from_world);
  return {turned, -(turned * place_mm)};
}

std::vector<Visibility> visibility(const std::vector<PaperTag>& tags, const Shot& shot) {
  std::vector<Visibility> result(tags.size());
  for (std::size_t i = 0; i < tags.size(); ++i) {
    Visibility& seen = result[i];
    seen.tilt_rad = tilt_of(tags[i], shot);
    if (!shows_its_face(tags[i], shot)) continue;
    const auto corners_mm = tag_corners_mm(tags[i].side_mm);
    TagCorners corner;
    for (int k = 0; k < 4; ++k) corner[k] = picture_of(shot, tags[i].world_from_tag * corners_mm[k]);
    seen.shortest_side_px = 1e9;
    for (int k = 0; k < 4; ++k)
      seen.shortest_side_px = std::min(seen.shortest_side_px, (corner[(k + 1) % 4] - corner[k]).norm());
    seen.whole = true;
    const auto wide = polygon(tags[i], shot, 5.0);
    const cv::Rect2f picture(3.0F, 3.0F, static_cast<float>(shot.width_px - 7),
                             static_cast<float>(shot.height_px - 7));
    for (const cv::Point2f& p : wide) seen.whole = seen.whole && picture.contains(p);
    for (std::size_t j = 0; j < tags.size() && seen.whole; ++j) {
      if (j == i || !shows_its_face(tags[j], shot)) continue;
      if (distance_mm(tags[j], shot) > distance_mm(tags[i], shot)) continue;
      std::vector<cv::Point2f> common;
      if (cv::intersectConvexConvex(wide, polygon(tags[j], shot, 4.3 + tags[j].margin_cells), common) > 0.0F)
        seen.hidden = true;
    }
  }
  return result;
}

GreyPicture render_photo(const std::vector<PaperTag>& tags, const Shot& shot, const Film& film,
                         std::mt19937_64& random, const std::vector<GreyPicture>& behind) {
  cv::Mat_<float> fine(finer * shot.height_px, finer * shot.width_px);
  if (behind.empty())
    draw_shapes(fine, random);
  else
    draw_patchwork(fine, behind, random);
  std::vector<const PaperTag*> far_first;
  for (const PaperTag& tag : tags)
    if (shows_its_face(tag, shot)) far_first.push_back(&tag);
  std::sort(far_first.begin(), far_first.end(), [&](const PaperTag* a, const PaperTag* b) {
    return distance_mm(*a, shot) > distance_mm(*b, shot);
  });
  for (const PaperTag* tag : far_first) draw_tag(*tag, shot, fine, random);
  return develop(fine, shot, film, random);
}

}  // namespace pivotfix::render
