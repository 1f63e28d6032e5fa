// SPDX-License-Identifier: Apache-2.0
// How well it was photographed: a plain verdict for each photo, tag and scale bar, by rules that the report
// prints. The limits are common practice in close-range photogrammetry, rounded to numbers one can remember.
#pragma once

#include <string>
#include <vector>

#include "base/units.h"
#include "network/network.h"
#include "page/markup.h"
#include "shots/tag_rules.h"

namespace pivotfix::report {

inline constexpr int fewest_sightings_of_photo = 4;
inline constexpr double largest_rms_ratio = 2.5;       // against all tag centres
inline constexpr double largest_scale_residual = 2.0;  // in standard deviations

// Empty when good, else what to look at again.
std::string look_again(const Station& station, const Network& network);
std::string look_again(const TagInSpace& tag, const Network& network);
std::string look_again(const ScaleBarResult& bar);

// "-0.39 mm": of how much a scale strip is off. What is to be looked at again never reads "0.00 mm".
std::string off_text(const ScaleBarResult& bar, LengthUnit unit);

// "tags 7, 56 in up 20: only 1 photo": one line for each reason.
std::vector<std::string> tags_to_look_at(const Network& network);

// "good", or "look again: only 2 photos see it".
std::string verdict(const std::string& what_to_look_at);

// "24 of 26 photos, 18 tags, 2 scale bars; tag centres fit to 0.03 px"
std::string network_summary(const Network& network);

// How blurred the photos' edges are, as the clause of a sentence; empty when that is not known.
std::string pictures_text(const Network& network);

// What odd photos alone say against even photos alone, as the clause of a sentence.
std::string halves_text(const CrossValidation& halves, LengthUnit unit);

}  // namespace pivotfix::report
