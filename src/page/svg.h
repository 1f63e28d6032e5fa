// SPDX-License-Identifier: Apache-2.0
// Pictures as SVG inside the page: shapes in a view box, styled by the page's CSS classes.
#pragma once

#include <Eigen/Core>
#include <functional>
#include <string>
#include <vector>

#include "base/units.h"
#include "page/markup.h"

namespace pivotfix::report {

struct Box {
  double left = 0.0;
  double right = 1.0;
  double bottom = 0.0;
  double top = 1.0;

  void include(const Eigen::Vector2d& point);
  Box grown(double margin) const;
  double width() const { return right - left; }
  double height() const { return top - bottom; }
};

// From what is drawn (x to the right, y up, any units) to the view box (y down).
class Mapping {
 public:
  // Fills `frame` (in view-box units, top above bottom: its `top` is the smaller number).
  Mapping(const Box& world, double frame_left, double frame_top, double frame_width, double frame_height);

  Eigen::Vector2d operator()(const Eigen::Vector2d& point) const;
  Eigen::Vector2d operator()(double x, double y) const { return (*this)(Eigen::Vector2d(x, y)); }

 private:
  Box world_;
  double frame_left_;
  double frame_top_;
  double x_scale_;
  double y_scale_;
};

enum class Anchor { start, middle, end };

// Coordinates are in view-box units. A shape with a coordinate that is not finite is left out.
class Picture {
 public:
  // `id` must be unique in the page; title and description are read out where the picture cannot be seen.
  Picture(std::string id, double width, double height, std::string title, std::string description);

  void line(const Eigen::Vector2d& from, const Eigen::Vector2d& to, const std::string& css_class);
  void arrow(const Eigen::Vector2d& from, const Eigen::Vector2d& to, const std::string& css_class);
  void polyline(const std::vector<Eigen::Vector2d>& points, const std::string& css_class);
  void polygon(const std::vector<Eigen::Vector2d>& points, const std::string& css_class);
  void circle(const Eigen::Vector2d& centre, double radius, const std::string& css_class);
  void rectangle(double left, double top, double width, double height, const std::string& css_class,
                 double corner_radius = 0.0);
  void text(const Eigen::Vector2d& at, Anchor anchor, const std::string& content,
            const std::string& css_class = "label");

  // A JPEG file of this size with its left top corner at the origin, then moved by an SVG transform.
  void jpeg(const std::string& bytes, double width, double height, const std::string& transform);
  // What `draw` draws is a group of its own.
  void group(Attributes attributes, const std::function<void()>& draw);
  // Draws once for each unit of length; the page shows the one that is wanted.
  void in_each_unit(const std::function<void(LengthUnit)>& draw);

  Markup markup() const;

 private:
  void poly(const char* tag, const std::vector<Eigen::Vector2d>& points, const std::string& css_class);

  std::string id_;
  double width_;
  double height_;
  std::string title_;
  std::string description_;
  Markup shapes_;
};

// 100 mm or 4 in, whose left end is at `left`; `scale` in view-box units for each millimetre.
void draw_scale_bar(Picture& picture, const Eigen::Vector2d& left, double scale);

// A picture as a file of its own.
std::string svg_file(const Markup& picture);

// 1, 2 or 5 times a power of ten: the smallest step that divides `range` into at most `most` parts.
double round_step(double range, int most);

// Moves wanted label heights apart so that neighbours keep `gap`; keeps their order.
std::vector<double> spread(std::vector<double> wanted, double gap);

}  // namespace pivotfix::report
