// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "base/units.h"
#include "page/numbers.h"
#include "page/svg.h"
#include "report/report.h"

namespace pivotfix {

namespace {

std::string with_sigma(double value, double sigma, int decimals) {
  return format_fixed(value, decimals) + " \xC2\xB1 " + format_fixed(sigma, decimals);
}

std::string row(const std::string& name, const std::string& value) {
  return "  " + name + std::string(name.size() < 24 ? 24 - name.size() : 1, ' ') + value + "\n";
}

std::string number_rows(const LensCalibration& calibration) {
  const LensFile& file = calibration.file;
  const auto entry = [&](LensParameter parameter, int decimals) {
    return with_sigma(file.lens.values[parameter], std::sqrt(file.covariance(parameter, parameter)),
                      decimals);
  };
  std::string text =
      row("focal length, px", entry(lens_focal_px, 2)) +
      row("centre x, y, px", entry(lens_principal_x_px, 2) + ", " + entry(lens_principal_y_px, 2));
  for (const LensParameter parameter : {lens_k1, lens_k2, lens_k3, lens_p1, lens_p2})
    text += row(std::string(name_of(parameter)), entry(parameter, 5));
  if (file.spread[0] > 0.0)
    text += row("photo to photo", "centre " + format_fixed(file.spread[0], 2) + " px, focal length " +
                                      format_fixed(100.0 * file.spread[2], 3) + " %");
  text += row("points fit to", format_fixed(file.residual_px, 3) + " px");
  text += row("a ray lands within", format_fixed(calibration.middle_sigma_px, 2) + " px, at worst " +
                                        format_fixed(calibration.worst_sigma_px, 2) + " px");
  text += row("odd against even photos",
              format_fixed(calibration.odd_even_ratio, 2) + " times what their uncertainties let expect");
  return text + row("picture covered", format_fixed(100.0 * calibration.covered, 0) + " %");
}

}  // namespace

std::string lens_text(const LensCalibration& calibration) {
  std::string text = calibration.lacks.empty() ? "Good enough for this job" : "Not good enough yet";
  text += ", from " + std::to_string(calibration.file.photos) + " photos.\n";
  for (const std::string& lack : calibration.lacks) text += "  Wanted: " + lack + ".\n";
  text += number_rows(calibration);
  for (const CalibratedView& view : calibration.views) {
    if (!view.used)
      text += "  " + view.photo + ": not used, " + view.why_not + "\n";
    else if (view.points_left_out > 0)
      text += "  " + view.photo + ": " + report::counted(view.points_left_out, "point") +
              " left out, far off where the others say: something in front, or a reflection?\n";
  }
  return text;
}

std::string coverage_svg(const LensCalibration& calibration, const std::vector<BoardView>& views) {
  using namespace report;
  constexpr double picture_width = 640.0;
  const double scale = picture_width / calibration.file.camera.width_px;
  const double picture_height = scale * calibration.file.camera.height_px;
  Picture picture("coverage", picture_width, picture_height, "What the photos cover",
                  "Every point of the board that was used, where it lay in the picture.");
  picture.rectangle(0.5, 0.5, picture_width - 1.0, picture_height - 1.0, "frame");
  for (const BoardView& view : views) {
    const auto result = std::find_if(calibration.views.begin(), calibration.views.end(),
                                     [&](const CalibratedView& one) { return one.photo == view.photo; });
    if (result == calibration.views.end() || !result->used) continue;
    for (const Eigen::Vector2d& point : view.points_px)
      picture.circle(scale * (point + Eigen::Vector2d::Constant(0.5)), 2.0, "joint-now");
  }
  return svg_file(picture.markup());
}

}  // namespace pivotfix
