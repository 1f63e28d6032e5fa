// SPDX-License-Identifier: Apache-2.0
#include "report/photo_pictures.h"

#include <algorithm>
#include <cmath>

#include "page/numbers.h"
#include "page/svg.h"
#include "report/photographs.h"

namespace pivotfix::report {
namespace {

using Point = Eigen::Vector2d;

constexpr double usual_arrow = 14.0;    // thumbnail pixels, of a usual residual
constexpr double longest_arrow = 90.0;  // an outlier's is cut

// How EXIF's orientation turns a stored picture of this size (Exif 2.32, tag 274): x' = a x + c y + e,
// y' = b x + d y + f, as SVG writes a matrix.
struct Turn {
  double a = 1.0, b = 0.0, c = 0.0, d = 1.0, e = 0.0, f = 0.0;
  bool swaps_sides = false;

  Point operator()(const Point& point) const {
    return {a * point.x() + c * point.y() + e, b * point.x() + d * point.y() + f};
  }
  std::string svg() const {
    std::string text = "matrix(";
    for (double value : {a, b, c, d, e, f}) text += format_fixed(value, 0) + " ";
    text.back() = ')';
    return text;
  }
};

Turn turn_of(int orientation, double width, double height) {
  switch (orientation) {
    case 2:
      return {-1, 0, 0, 1, width, 0, false};
    case 3:
      return {-1, 0, 0, -1, width, height, false};
    case 4:
      return {1, 0, 0, -1, 0, height, false};
    case 5:
      return {0, 1, 1, 0, 0, 0, true};
    case 6:
      return {0, 1, -1, 0, height, 0, true};
    case 7:
      return {0, -1, -1, 0, height, width, true};
    case 8:
      return {0, -1, 1, 0, 0, width, true};
    default:
      return {};
  }
}

Point centre_of(const TagInPhoto& tag) {
  return 0.25 * (tag.corner_px[0] + tag.corner_px[1] + tag.corner_px[2] + tag.corner_px[3]);
}

// From the photo's pixels to the thumbnail as shown; the middle of the first pixel is at (0, 0) there.
struct Shown {
  Turn turn{};
  double scale = 1.0;
  Point operator()(const Point& photo_px) const { return turn(scale * (photo_px + Point::Constant(0.5))); }
};

void draw_tag(Picture& picture, const TagInPhoto& tag, const Shown& shown, double enlargement) {
  std::vector<Point> corners;
  for (const Point& corner : tag.corner_px) corners.push_back(shown(corner));
  picture.polygon(corners, tag.used ? "tag-used" : "tag-rejected");
  const Point centre = shown(centre_of(tag));
  const double right = std::max({corners[0].x(), corners[1].x(), corners[2].x(), corners[3].x()});
  picture.text({right + 3.0, centre.y() + 5.0}, Anchor::start, std::to_string(tag.number), "tag-number");
  if (!tag.used) {
    picture.line(corners[0], corners[2], "tag-rejected");
    picture.line(corners[1], corners[3], "tag-rejected");
  }
  Point arrow = enlargement * (shown(tag.miss_px) - shown(Point::Zero()));
  if (arrow.norm() > longest_arrow) arrow *= longest_arrow / arrow.norm();
  if (arrow.norm() > 0.5) picture.arrow(centre, centre + arrow, "residual");
}

std::string words_of_photo(const Station& station, const std::vector<TagInPhoto>& tags) {
  std::string rejected;
  for (const TagInPhoto& tag : tags)
    if (!tag.used) rejected += (rejected.empty() ? "" : ", ") + std::to_string(tag.number);
  std::string words = station.used
                          ? counted(static_cast<std::size_t>(std::max(station.sightings, 0)), "tag") +
                                ", fit " + format_fixed(station.rms_px, 3) + " px"
                          : "not used: " + station.why_not;
  if (!rejected.empty()) words += "; rejected: " + rejected;
  return words;
}

Markup photo_picture(const Station& station, const std::vector<TagInPhoto>& tags, const Thumbnail& thumbnail,
                     std::size_t number, double enlargement) {
  const double width = thumbnail.width_px, height = thumbnail.height_px;
  const Shown shown{turn_of(thumbnail.orientation, width, height), thumbnail.scale};
  const bool swaps = shown.turn.swaps_sides;
  Picture picture("photo-" + std::to_string(number), swaps ? height : width, swaps ? width : height,
                  "Photo " + station.photo, words_of_photo(station, tags) + ".");
  picture.jpeg(thumbnail.jpeg, width, height, shown.turn.svg());
  for (const TagInPhoto& tag : tags) draw_tag(picture, tag, shown, enlargement);
  return picture.markup();
}

}  // namespace

double arrow_enlargement(const ReportInput& input) {
  if (!input.network || input.thumbnails.empty()) return 0.0;
  const double usual = input.network->centre_rms_px * input.thumbnails.begin()->second.scale * std::sqrt(2.0);
  if (!(usual > 0.0) || !std::isfinite(usual)) return 0.0;
  double enlargement = 1.0;
  for (const double step : {1.0, 10.0, 100.0, 1000.0, 10000.0})
    for (const double factor : {1.0, 2.0, 5.0})
      if (factor * step * usual <= usual_arrow) enlargement = factor * step;
  return enlargement;
}

Markup photo_gallery(const ReportInput& input) {
  if (!input.network || input.thumbnails.empty()) return {};
  const double enlargement = arrow_enlargement(input);
  Markup gallery;
  for (std::size_t i = 0; i < input.network->stations.size(); ++i) {
    const Station& station = input.network->stations[i];
    const auto thumbnail = input.thumbnails.find(station.photo);
    if (thumbnail == input.thumbnails.end()) continue;
    const std::vector<TagInPhoto> tags =
        i < input.tags_in_photos.size() ? input.tags_in_photos[i] : std::vector<TagInPhoto>{};
    const std::string doubt = look_again(station, *input.network);
    gallery +=
        element("figure", {{"class", doubt.empty() ? "" : "doubtful"}},
                photo_picture(station, tags, thumbnail->second, i, enlargement) +
                    element("figcaption", element("b", station.photo) +
                                              plain(" " + words_of_photo(station, tags) +
                                                    (doubt.empty() || !station.used ? "" : "; " + doubt)))) +
        Markup::trusted("\n");
  }
  if (gallery.empty()) return {};
  const std::string key =
      "Blue: tags that took part. Orange and crossed out: rejected. Arrows: from where all photos together "
      "want the tag's centre to where this photo shows it, " +
      format_fixed(enlargement, 0) + " times as long as in the small picture.";
  return paragraph(key, "note gallery-key") + element("div", {{"class", "gallery"}}, gallery) +
         Markup::trusted("\n");
}

Markup coverage_pictures(const ReportInput& input) {
  const Network& network = *input.network;
  constexpr double picture_width = 440.0;
  Markup pictures;
  for (std::size_t i = 0; i < network.lenses.size(); ++i) {
    const LensEstimate& lens = network.lenses[i];
    if (lens.width_px <= 0 || lens.height_px <= 0) continue;
    const double scale = picture_width / lens.width_px;
    Picture picture("coverage-" + std::to_string(i), picture_width, scale * lens.height_px,
                    "Which part of the picture tags covered",
                    "Centres of all tags that took part, in the frame of the camera's picture.");
    picture.rectangle(0.5, 0.5, picture_width - 1.0, scale * lens.height_px - 1.0, "frame");
    bool any = false;
    for (std::size_t k = 0; k < std::min(network.stations.size(), input.tags_in_photos.size()); ++k)
      if (network.stations[k].used && network.stations[k].lens == static_cast<int>(i))
        for (const TagInPhoto& tag : input.tags_in_photos[k])
          if (tag.used) {
            picture.circle(scale * (centre_of(tag) + Point::Constant(0.5)), 2.2, "covered");
            any = true;
          }
    if (any)
      pictures +=
          figure("Where tags lay in the picture" + (network.lenses.size() > 1 ? ", " + lens.camera : ""),
                 picture.markup(),
                 caption("The fuller the frame, the better the photos tell how the lens bends light."));
  }
  return pictures;
}

}  // namespace pivotfix::report
