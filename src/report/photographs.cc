// SPDX-License-Identifier: Apache-2.0
#include "report/photographs.h"

#include <algorithm>
#include <cmath>

#include "base/median.h"
#include "page/each_unit.h"
#include "page/numbers.h"
#include "report/photo_pictures.h"
#include "report/sections.h"
#include "report/tables.h"

namespace pivotfix::report {
namespace {

constexpr const char* good = "\xE2\x9C\x93 good";
constexpr std::size_t most_rejected_shown = 12;

bool fits_badly(double rms_px, const Network& network) {
  return network.centre_rms_px > 0.0 && rms_px > largest_rms_ratio * network.centre_rms_px;
}

std::string pixels(double value) {
  return std::isfinite(value) ? format_fixed(value, 3) : not_known;
}

std::string tags_of(const Station& station) {
  return counted(static_cast<std::size_t>(std::max(station.sightings, 0)), "tag");
}

Markup doubtful_photos(const Network& network) {
  Rows unused;
  Rows doubtful;
  for (const Station& station : network.stations) {
    const std::string reason = look_again(station, network);
    if (!station.used)
      unused.push_back({station.photo, station.why_not.empty() ? "no reason given" : station.why_not});
    else if (!reason.empty())
      doubtful.push_back({station.photo, tags_of(station), pixels(station.rms_px), reason});
  }
  Markup section;
  if (!unused.empty()) section += table("Photos not used", {{"photo"}, {"why"}}, unused);
  if (!doubtful.empty())
    section += table("Photos to look at again",
                     {{"photo"}, {"seen"}, {"fit, px", ColumnKind::number}, {"what"}}, doubtful);
  return section;
}

Markup fine_photos(const Network& network) {
  Markup fine;
  for (const Station& station : network.stations)
    if (look_again(station, network).empty())
      fine += element("li", station.photo + ": " + tags_of(station) + ", " + pixels(station.rms_px) +
                                " px, blur " + format_fixed(station.picture.blur_px, 1) + " px, contrast " +
                                format_fixed(station.picture.contrast, 0)) +
              Markup::trusted("\n");
  if (fine.empty()) return {};
  return element("p", {{"class", "list-head"}},
                 element("b", good) +
                     plain(" \xE2\x80\x93 tags seen, how well they fit, how blurred their edges are, and how "
                           "far black and white lie apart (of 255 grey levels):")) +
         element("ul", {{"class", "columns"}}, fine) + Markup::trusted("\n");
}

Markup tag_table(const Network& network) {
  Rows rows;
  for (const TagInSpace& tag : network.tags)
    rows.push_back({name_of(tag), std::to_string(tag.photos),
                    format_fixed(deg_from_rad(tag.widest_angle_rad), 0) + "\xC2\xB0", pixels(tag.rms_px),
                    verdict(look_again(tag, network))});
  if (rows.empty()) return {};
  return table("Tags",
               {{"tag"},
                {"photos", ColumnKind::number},
                {"widest angle", ColumnKind::number},
                {"fit, px", ColumnKind::number},
                {"verdict"}},
               rows);
}

Markup scale_table(const Network& network, LengthUnit unit) {
  Rows rows;
  const double unit_mm = mm_per(unit);
  const int decimals = unit == LengthUnit::inch ? 4 : unit == LengthUnit::millimetre ? 2 : 1;
  for (const ScaleBarResult& result : network.scale_bars)
    rows.push_back(
        {std::to_string(result.bar.from_tag) + " \xE2\x80\x93 " + std::to_string(result.bar.to_tag),
         column_text(result.bar.length_mm / unit_mm, result.bar.sigma_mm / unit_mm, decimals),
         column_text(result.adjusted_mm / unit_mm, 0.0, decimals),
         column_text((result.adjusted_mm - result.bar.length_mm) / unit_mm, 0.0, decimals),
         verdict(look_again(result))});
  if (rows.empty()) return {};
  Markup section = table("Scale strips, " + std::string(name_of(unit)),
                         {{"between tags"},
                          {"measured", ColumnKind::number},
                          {"found", ColumnKind::number},
                          {"difference", ColumnKind::number},
                          {"verdict"}},
                         rows);
  if (rows.size() == 1)
    section += paragraph("With one scale strip alone nothing checks its length: a second one would.", "note");
  return section;
}

// What of the lens does not come from these photos.
std::string held_words(const LensEstimate& lens) {
  std::string words;
  if (!lens.lens_file.empty()) words = "Started from " + lens.lens_file + ", with its uncertainty. ";
  if (lens.undetermined.empty()) return words;
  std::string list;
  for (const LensParameter parameter : lens.undetermined)
    list += (list.empty() ? "" : ", ") + std::string(name_of(parameter));
  return words + "These photos do not tell " + list +
         ": kept near what lenses usually have. Tags nearer to the pictures' edges, and half of the photos "
         "turned by a quarter, would tell.";
}

Markup lens_table(const Network& network) {
  Rows rows;
  for (const LensEstimate& lens : network.lenses) {
    const auto entry = [&](LensParameter parameter, int decimals) {
      return value_text(lens.lens.values[parameter], lens.sigma[parameter], decimals);
    };
    rows.push_back({lens.camera.empty() ? "unnamed camera" : lens.camera, std::to_string(lens.photos),
                    entry(lens_focal_px, 1),
                    entry(lens_principal_x_px, 1) + "\n" + entry(lens_principal_y_px, 1),
                    entry(lens_k1, 4) + "\n" + entry(lens_k2, 4)});
  }
  if (rows.empty()) return {};
  Markup notes;
  for (const LensEstimate& lens : network.lenses)
    if (const std::string held = held_words(lens); !held.empty()) notes += paragraph(held, "note");
  return table("Lens as found",
               {{"camera"},
                {"photos", ColumnKind::number},
                {"focal length, px", ColumnKind::number},
                {"centre x, y, px", ColumnKind::number},
                {"distortion k1, k2", ColumnKind::number}},
               rows) +
         notes;
}

Markup rejected_list(const Network& network) {
  if (network.rejected.empty()) return paragraph("No view of a tag was left out.", "note");
  const auto row = [](const RejectedSighting& sighting) {
    return std::vector<std::string>{sighting.photo, std::to_string(sighting.tag_number), sighting.reason};
  };
  const std::vector<Column> columns{{"photo"}, {"tag", ColumnKind::number}, {"why"}};
  const std::size_t shown = std::min(most_rejected_shown, network.rejected.size());
  Rows first;
  for (std::size_t i = 0; i < shown; ++i) first.push_back(row(network.rejected[i]));
  Markup section = table("Views of a tag that were left out", columns, first);
  if (shown == network.rejected.size()) return section;
  Rows rest;
  for (std::size_t i = shown; i < network.rejected.size(); ++i) rest.push_back(row(network.rejected[i]));
  return section + element("details", element("summary", "and " + std::to_string(rest.size()) + " more") +
                                          table("", columns, rest));
}

}  // namespace

std::string look_again(const Station& station, const Network& network) {
  if (!station.used) return "not used";
  if (station.sightings < fewest_sightings_of_photo)
    return "only " + counted(static_cast<std::size_t>(std::max(station.sightings, 0)), "tag") + " seen";
  if (std::string trouble = picture_trouble(station.picture); !trouble.empty()) return trouble;
  if (fits_badly(station.rms_px, network)) return "fits worse than the others: did something move?";
  return {};
}

std::string look_again(const TagInSpace& tag, const Network& network) {
  if (tag.photos < fewest_photos_of(tag))
    return "only " + counted(static_cast<std::size_t>(std::max(tag.photos, 0)), "photo");
  if (tag.set.empty() && deg_from_rad(tag.widest_angle_rad) < smallest_widest_angle_deg)
    return "seen from one side only";
  if (fits_badly(tag.rms_px, network)) return "fits worse than the others: bent, moved or half covered?";
  return {};
}

std::vector<std::string> tags_to_look_at(const Network& network) {
  std::vector<std::pair<std::string, std::string>> by_reason;  // reason, tags
  for (const TagInSpace& tag : network.tags) {
    const std::string reason = look_again(tag, network);
    if (reason.empty()) continue;
    const auto known = std::find_if(by_reason.begin(), by_reason.end(),
                                    [&](const auto& one) { return one.first == reason; });
    if (known == by_reason.end())
      by_reason.emplace_back(reason, name_of(tag));
    else
      known->second += ", " + name_of(tag);
  }
  std::vector<std::string> lines;
  for (const auto& [reason, tags] : by_reason)
    lines.push_back((tags.find(',') == std::string::npos ? "tag " : "tags ") + tags + ": " + reason);
  return lines;
}

std::string look_again(const ScaleBarResult& bar) {
  if (std::isfinite(bar.normalised_residual) && std::abs(bar.normalised_residual) <= largest_scale_residual)
    return {};
  // Where no rule tells such a length, the rule has not misled anybody.
  if (std::abs(bar.adjusted_mm - bar.bar.length_mm) < finest_length_mm)
    return "its stated uncertainty is too small, or the pictures are bent";
  return "measure it again";
}

std::string off_text(const ScaleBarResult& bar, LengthUnit unit) {
  const double off_mm = bar.adjusted_mm - bar.bar.length_mm;
  const int decimals = fine_decimals(unit);
  return format_length(
      off_mm, unit, look_again(bar).empty() ? decimals : decimals_that_show(off_mm / mm_per(unit), decimals));
}

std::string verdict(const std::string& what_to_look_at) {
  return what_to_look_at.empty() ? good : "\xE2\x96\xB2 look again: " + what_to_look_at;
}

std::string network_summary(const Network& network) {
  const auto used = std::count_if(network.stations.begin(), network.stations.end(),
                                  [](const Station& station) { return station.used; });
  return std::to_string(used) + " of " + counted(network.stations.size(), "photo") + " used, " +
         counted(network.tags.size(), "tag") + ", " + counted(network.scale_bars.size(), "scale strip") +
         "; tag centres fit to " + pixels(network.centre_rms_px) + " px";
}

std::string pictures_text(const Network& network) {
  const Station* worst = nullptr;
  std::vector<double> blurs_px;
  for (const Station& station : network.stations) {
    if (!station.used || station.picture.white <= 0.0) continue;
    blurs_px.push_back(station.picture.blur_px);
    if (!worst || station.picture.blur_px > worst->picture.blur_px) worst = &station;
  }
  if (!worst) return {};
  return "edges are blurred by " + format_fixed(median(blurs_px), 1) +
         " px in the middle one of the photos, by " + format_fixed(worst->picture.blur_px, 1) +
         " px in the worst (" + worst->photo + ")";
}

std::string halves_text(const CrossValidation& halves, LengthUnit unit) {
  if (!halves.done) return "too few photos to compare odd ones with even ones";
  const std::string ratio = format_fixed(halves.ratio, 2);
  return "from odd and from even photos alone, tags lie " + length_text(halves.apart_rms_mm, 0.0, unit, 3) +
         " apart, " + ratio + " times what their uncertainties let expect" +
         (halves.ratio > 1.0 ? "; all uncertainties are widened at least by that" : "");
}

namespace {

Markup network_words(const Network& network, LengthUnit unit) {
  Markup section = paragraph(network_summary(network) + ".");
  if (const std::string pictures = pictures_text(network); !pictures.empty())
    section += paragraph("Sharpness: " + pictures + ".");
  section += paragraph("Check: " + halves_text(network.cross_validation, unit) + ".");
  section += paragraph(
      "\xE2\x80\x9CGood\xE2\x80\x9D means: a photo sees at least " +
          std::to_string(fewest_sightings_of_photo) + " tags; a tag is in at least " +
          std::to_string(fewest_photos_of_tag) + " photos, two of them at least " +
          format_fixed(smallest_widest_angle_deg, 0) + "\xC2\xB0 apart, on a moving part in " +
          std::to_string(fewest_photos_of_moving_tag) + " of each set; each fits within " +
          format_fixed(largest_rms_ratio, 1) +
          " times the average; a scale strip is off by no more than twice what its uncertainty allows.",
      "note");
  return section + scale_table(network, unit);
}

// What one looks up, but seldom: on the screen only, once it is asked for.
Markup all_in_numbers(const Network& network) {
  return element("details", element("summary", "Every tag and photo in numbers, and what was rejected") +
                                tag_table(network) + fine_photos(network) + rejected_list(network));
}

}  // namespace

Markup photographs_section(const ReportInput& input) {
  if (!input.network) return {};
  const Network& network = *input.network;
  return element(
      "section",
      element("h2", "What was photographed, and how well") +
          in_each_unit(input, [&](const ReportInput& shown) { return network_words(network, shown.unit); }) +
          lens_table(network) + doubtful_photos(network) + all_in_numbers(network) + photo_gallery(input) +
          element("div", {{"class", "screen-only"}}, coverage_pictures(input)));
}

}  // namespace pivotfix::report
