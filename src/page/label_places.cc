// SPDX-License-Identifier: Apache-2.0
#include "page/label_places.h"

#include <algorithm>
#include <cmath>

namespace pivotfix::report {
namespace {

using Point = Eigen::Vector2d;

constexpr double letter_width = 7.0;  // of the page's 13 px letters, on average and a little more
constexpr double letter_height = 10.0;
constexpr double letter_depth = 3.0;  // below the base line

double overlap(const Box& a, const Box& b) {
  const double across = std::min(a.right, b.right) - std::max(a.left, b.left);
  const double along = std::min(a.top, b.top) - std::max(a.bottom, b.bottom);
  return std::max(0.0, across) * std::max(0.0, along);
}

// Length of the line inside the box (Liang and Barsky's clipping).
double length_inside(const Point& from, const Point& to, const Box& box) {
  double begin = 0.0, end = 1.0;
  const Point along = to - from;
  const double least[] = {box.left, box.bottom}, most[] = {box.right, box.top};
  for (int i = 0; i < 2; ++i) {
    if (std::abs(along[i]) < 1e-9) {
      if (from[i] < least[i] || from[i] > most[i]) return 0.0;
      continue;
    }
    const double a = (least[i] - from[i]) / along[i], b = (most[i] - from[i]) / along[i];
    begin = std::max(begin, std::min(a, b));
    end = std::min(end, std::max(a, b));
  }
  return end > begin ? (end - begin) * along.norm() : 0.0;
}

}  // namespace

std::vector<LabelPlace> beside(const Point& from, const Point& to) {
  constexpr double above = -9.0, below = 17.0, aside = 10.0, to_middle = 4.5;
  std::vector<LabelPlace> wishes;
  for (const double share : {0.5, 0.35, 0.65, 0.2, 0.8}) {
    const Point on_line = from + share * (to - from);
    wishes.push_back({on_line + Point(0, above), Anchor::middle});
    wishes.push_back({on_line + Point(0, below), Anchor::middle});
    wishes.push_back({on_line + Point(-aside, to_middle), Anchor::end});
    wishes.push_back({on_line + Point(aside, to_middle), Anchor::start});
  }
  return wishes;
}

std::vector<LabelPlace> around(const Point& point) {
  std::vector<LabelPlace> wishes;
  for (const double off : {0.0, 14.0, 28.0})
    for (const double up : off > 0.0 ? std::vector<double>{-off, off} : std::vector<double>{0.0}) {
      wishes.push_back({point + Point(10.0, up + 4.5), Anchor::start});
      wishes.push_back({point + Point(-10.0, up + 4.5), Anchor::end});
      if (up != 0.0) wishes.push_back({point + Point(0.0, up + 4.5), Anchor::middle});
    }
  return wishes;
}

void LabelPlaces::avoid_around(const Point& point) {
  constexpr double radius = 6.0;
  taken_.push_back({point.x() - radius, point.x() + radius, point.y() - radius, point.y() + radius});
}

LabelPlace LabelPlaces::best(const std::vector<LabelPlace>& wishes, const std::string& text) {
  LabelPlace best;
  double least = 0.0;
  for (const LabelPlace& wish : wishes) {
    const double bad = trouble(box_of(wish, text));
    if (&wish != &wishes.front() && bad >= least) continue;
    least = bad;
    best = wish;
  }
  taken_.push_back(box_of(best, text));
  return best;
}

// The page's y runs downwards: `bottom` is the upper edge on the screen.
Box LabelPlaces::box_of(const LabelPlace& place, const std::string& text) const {
  const double width = letter_width * static_cast<double>(text.size());
  const double left = place.anchor == Anchor::start ? 0.0
                      : place.anchor == Anchor::end ? -width
                                                    : -0.5 * width;
  return {place.at.x() + left, place.at.x() + left + width, place.at.y() - letter_height,
          place.at.y() + letter_depth};
}

double LabelPlaces::trouble(const Box& box) const {
  const Box picture{0.0, width_, 0.0, height_};
  const double outside = box.width() * box.height() - overlap(box, picture);
  double trouble = 10.0 * std::max(0.0, outside);
  for (const auto& [from, to] : lines_) trouble += length_inside(from, to, box);
  for (const Box& taken : taken_) trouble += overlap(box, taken);
  return trouble;
}

}  // namespace pivotfix::report
