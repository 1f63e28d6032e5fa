// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <tuple>

#include "tags/candidates.h"
#include "tags/decode.h"
#include "tags/edge_fit.h"
#include "tags/tags.h"

namespace pivotfix {
namespace {

TagCorners turned(const TagCorners& corner, int quarter_turns) {
  TagCorners result;
  for (int k = 0; k < 4; ++k) result[k] = corner[(k + quarter_turns) % 4];
  return result;
}

std::optional<Sighting> sighting_of(const GreyPicture& picture, const TagCorners& candidate,
                                    const TagSearchOptions& options) {
  if (shortest_side(candidate) < 0.5 * options.smallest_side_px) return std::nullopt;
  const auto rough = decode(picture, candidate, options.most_wrong_cells);
  if (!rough) return std::nullopt;
  auto edges =
      fit_edges(picture, turned(candidate, rough->quarter_turns), rough->tag_number, options.tone_curve);
  if (!edges) return std::nullopt;
  // Once more with the fitted corners: what is believed must also read well there.
  const auto final_reading = decode(picture, edges->corner_px, options.most_wrong_cells);
  if (!final_reading || final_reading->tag_number != rough->tag_number || final_reading->quarter_turns != 0) {
    return std::nullopt;
  }
  const auto centre = diagonal_intersection(edges->corner_px);
  if (!centre) return std::nullopt;
  Sighting sighting;
  sighting.tag_number = final_reading->tag_number;
  sighting.corner_px = edges->corner_px;
  sighting.centre_px = *centre;
  sighting.edge_points = std::move(edges->edge_points);
  sighting.edge_noise_px = edges->edge_noise_px;
  sighting.rim_doubt_px = edges->rim_doubt_px;
  sighting.blur_px = edges->blur_px;
  sighting.contrast = final_reading->contrast;
  sighting.white = final_reading->white;
  sighting.wrong_cells = final_reading->wrong_cells;
  return sighting;
}

// The same tag found on another scale, or a patch within it.
bool same_place(const Sighting& a, const Sighting& b) {
  const double side = std::max(shortest_side(a.corner_px), shortest_side(b.corner_px));
  return (a.centre_px - b.centre_px).norm() < 0.4 * side;
}

bool better(const Sighting& a, const Sighting& b) {
  return std::tie(a.wrong_cells, a.edge_noise_px) < std::tie(b.wrong_cells, b.edge_noise_px);
}

bool already_found(const std::vector<Sighting>& sightings, const TagCorners& candidate) {
  const double near_px = std::max(1.5, 0.03 * shortest_side(candidate));
  return std::any_of(sightings.begin(), sightings.end(), [&](const Sighting& known) {
    // Corner order differs by quarter turns: compare the sets.
    return std::all_of(candidate.begin(), candidate.end(), [&](const Eigen::Vector2d& corner) {
      return std::any_of(known.corner_px.begin(), known.corner_px.end(),
                         [&](const Eigen::Vector2d& other) { return (corner - other).norm() < near_px; });
    });
  });
}

void search_level(const GreyPicture& picture, const SearchLevel& level, const TagSearchOptions& options,
                  std::vector<Sighting>& sightings) {
  std::vector<TagCorners> known_tags;
  for (const Sighting& sighting : sightings) known_tags.push_back(sighting.corner_px);
  for (const TagCorners& candidate : find_candidates(level, known_tags)) {
    if (already_found(sightings, candidate)) continue;
    auto found = sighting_of(picture, candidate, options);
    if (!found) continue;
    const auto rival = std::find_if(sightings.begin(), sightings.end(),
                                    [&](const Sighting& known) { return same_place(known, *found); });
    if (rival == sightings.end()) {
      sightings.push_back(std::move(*found));
    } else if (better(*found, *rival)) {
      *rival = std::move(*found);
    }
  }
}

}  // namespace

std::vector<Sighting> find_tags(const GreyPicture& picture, const TagSearchOptions& options) {
  std::vector<Sighting> sightings;
  const SearchLevels levels(picture, options.smallest_side_px);
  for (const SearchLevel& level : levels.coarse_to_fine()) search_level(picture, level, options, sightings);
  std::sort(sightings.begin(), sightings.end(), [](const Sighting& a, const Sighting& b) {
    return std::make_tuple(a.tag_number, a.centre_px.y(), a.centre_px.x()) <
           std::make_tuple(b.tag_number, b.centre_px.y(), b.centre_px.x());
  });
  return sightings;
}

}  // namespace pivotfix
