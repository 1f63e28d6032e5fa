// SPDX-License-Identifier: Apache-2.0
#include "page/svg.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <utility>

#include "page/base64.h"
#include "page/each_unit.h"
#include "page/numbers.h"
#include "page/page_files.h"

namespace pivotfix::report {
namespace {

std::string coordinate(double value) {
  return format_fixed(value, 1);
}

bool all_finite(const std::vector<Eigen::Vector2d>& points) {
  return std::all_of(points.begin(), points.end(), [](const auto& point) { return point.allFinite(); });
}

}  // namespace

void Box::include(const Eigen::Vector2d& point) {
  if (!point.allFinite()) return;
  left = std::min(left, point.x());
  right = std::max(right, point.x());
  bottom = std::min(bottom, point.y());
  top = std::max(top, point.y());
}

Box Box::grown(double margin) const {
  return {left - margin, right + margin, bottom - margin, top + margin};
}

Mapping::Mapping(const Box& world, double frame_left, double frame_top, double frame_width,
                 double frame_height)
    : world_(world),
      frame_left_(frame_left),
      frame_top_(frame_top),
      x_scale_(frame_width / world.width()),
      y_scale_(frame_height / world.height()) {}

Eigen::Vector2d Mapping::operator()(const Eigen::Vector2d& point) const {
  return {frame_left_ + (point.x() - world_.left) * x_scale_,
          frame_top_ + (world_.top - point.y()) * y_scale_};
}

Picture::Picture(std::string id, double width, double height, std::string title, std::string description)
    : id_(std::move(id)),
      width_(width),
      height_(height),
      title_(std::move(title)),
      description_(std::move(description)) {}

void Picture::line(const Eigen::Vector2d& from, const Eigen::Vector2d& to, const std::string& css_class) {
  if (!from.allFinite() || !to.allFinite()) return;
  shapes_ += element("line",
                     {{"class", css_class},
                      {"x1", coordinate(from.x())},
                      {"y1", coordinate(from.y())},
                      {"x2", coordinate(to.x())},
                      {"y2", coordinate(to.y())}},
                     Markup()) +
             Markup::trusted("\n");
}

void Picture::arrow(const Eigen::Vector2d& from, const Eigen::Vector2d& to, const std::string& css_class) {
  line(from, to, css_class);
  const Eigen::Vector2d along = to - from;
  if (!along.allFinite() || along.norm() < 1e-6) return;
  const Eigen::Vector2d back = -along.normalized() * std::min(7.0, 0.8 * along.norm());
  const Eigen::Vector2d aside = 0.5 * Eigen::Vector2d(-back.y(), back.x());
  line(to, to + back + aside, css_class);
  line(to, to + back - aside, css_class);
}

void Picture::poly(const char* tag, const std::vector<Eigen::Vector2d>& points,
                   const std::string& css_class) {
  if (points.empty() || !all_finite(points)) return;
  std::string list;
  for (const auto& point : points)
    list += (list.empty() ? "" : " ") + coordinate(point.x()) + "," + coordinate(point.y());
  shapes_ += element(tag, {{"class", css_class}, {"points", list}}, Markup()) + Markup::trusted("\n");
}

void Picture::polyline(const std::vector<Eigen::Vector2d>& points, const std::string& css_class) {
  poly("polyline", points, css_class);
}

void Picture::polygon(const std::vector<Eigen::Vector2d>& points, const std::string& css_class) {
  poly("polygon", points, css_class);
}

void Picture::circle(const Eigen::Vector2d& centre, double radius, const std::string& css_class) {
  if (!centre.allFinite()) return;
  shapes_ += element("circle",
                     {{"class", css_class},
                      {"cx", coordinate(centre.x())},
                      {"cy", coordinate(centre.y())},
                      {"r", coordinate(radius)}},
                     Markup()) +
             Markup::trusted("\n");
}

void Picture::rectangle(double left, double top, double width, double height, const std::string& css_class,
                        double corner_radius) {
  if (!std::isfinite(left + top + width + height)) return;
  shapes_ += element("rect",
                     {{"class", css_class},
                      {"x", coordinate(left)},
                      {"y", coordinate(top)},
                      {"width", coordinate(width)},
                      {"height", coordinate(height)},
                      {"rx", coordinate(corner_radius)}},
                     Markup()) +
             Markup::trusted("\n");
}

void Picture::text(const Eigen::Vector2d& at, Anchor anchor, const std::string& content,
                   const std::string& css_class) {
  if (!at.allFinite()) return;
  const char* name = anchor == Anchor::start ? "start" : anchor == Anchor::middle ? "middle" : "end";
  shapes_ +=
      element(
          "text",
          {{"class", css_class}, {"x", coordinate(at.x())}, {"y", coordinate(at.y())}, {"text-anchor", name}},
          plain(content)) +
      Markup::trusted("\n");
}

void Picture::jpeg(const std::string& bytes, double width, double height, const std::string& transform) {
  shapes_ += element("image",
                     {{"href", "data:image/jpeg;base64," + base64(bytes)},
                      {"width", coordinate(width)},
                      {"height", coordinate(height)},
                      {"transform", transform}},
                     Markup());
}

void Picture::group(Attributes attributes, const std::function<void()>& draw) {
  Markup around;
  std::swap(around, shapes_);
  draw();
  shapes_ = around + element("g", attributes, shapes_) + Markup::trusted("\n");
}

void Picture::in_each_unit(const std::function<void(LengthUnit)>& draw) {
  for (const LengthUnit unit : all_units) group({{"class", unit_class(unit)}}, [&] { draw(unit); });
}

void draw_scale_bar(Picture& picture, const Eigen::Vector2d& left, double scale) {
  picture.in_each_unit([&](LengthUnit unit) {
    const bool metric = unit == LengthUnit::millimetre;
    const double length = scale * (metric ? 100.0 : 4.0 * mm_per_inch);
    const Eigen::Vector2d right = left + Eigen::Vector2d(length, 0.0);
    picture.line(left, right, "scale-bar");
    for (const Eigen::Vector2d& end : {left, right})
      picture.line(end - Eigen::Vector2d(0, 4), end + Eigen::Vector2d(0, 4), "scale-bar");
    picture.text(0.5 * (left + right) - Eigen::Vector2d(0, 7), Anchor::middle,
                 metric ? "100 mm" : length_text(4.0 * mm_per_inch, 0.0, unit, -2), "small");
  });
}

Markup Picture::markup() const {
  const Markup title = element("title", {{"id", id_ + "-title"}}, plain(title_));
  const Markup description = element("desc", {{"id", id_ + "-desc"}}, plain(description_));
  return element("svg",
                 {{"xmlns", "http://www.w3.org/2000/svg"},
                  {"id", id_},
                  {"viewBox", "0 0 " + format_fixed(width_, 0) + " " + format_fixed(height_, 0)},
                  {"role", "img"},
                  {"aria-labelledby", id_ + "-title " + id_ + "-desc"}},
                 title + description + Markup::trusted("\n") + shapes_) +
         Markup::trusted("\n");
}

double round_step(double range, int most) {
  const double smallest = std::max(range, 1e-9) / most;
  const double power = std::pow(10.0, std::floor(std::log10(smallest)));
  for (double factor : {1.0, 2.0, 5.0})
    if (factor * power >= smallest * (1.0 - 1e-9)) return factor * power;
  return 10.0 * power;
}

std::string svg_file(const Markup& picture) {
  std::string svg = picture.str();
  const std::string style = "<style>" + std::string(page_style()) + "</style>";  // the page's own
  svg.insert(svg.find('>') + 1, style);
  return "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n" + svg;
}

std::vector<double> spread(std::vector<double> wanted, double gap) {
  std::vector<std::size_t> order(wanted.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return wanted[a] < wanted[b]; });
  // Groups that touch are merged and centred on the mean of their wishes (pool adjacent violators).
  struct Group {
    double sum = 0.0;  // of wishes, each less its offset within the group
    std::size_t size = 0;
    double start() const { return sum / static_cast<double>(size); }
  };
  std::vector<Group> groups;
  for (std::size_t i : order) {
    groups.push_back({wanted[i], 1});
    while (groups.size() > 1) {
      const Group& upper = groups[groups.size() - 2];
      const Group& lower = groups.back();
      const double upper_length = gap * static_cast<double>(upper.size);
      if (upper.start() + upper_length <= lower.start()) break;
      const Group merged{upper.sum + lower.sum - upper_length * static_cast<double>(lower.size),
                         upper.size + lower.size};
      groups.pop_back();
      groups.back() = merged;
    }
  }
  std::size_t next = 0;
  for (const Group& group : groups)
    for (std::size_t i = 0; i < group.size; ++i)
      wanted[order[next++]] = group.start() + gap * static_cast<double>(i);
  return wanted;
}

}  // namespace pivotfix::report
