// SPDX-License-Identifier: Apache-2.0
#include "advice/recorded_height.h"

#include <cmath>

#include "advice/what_if.h"
#include "base/length_words.h"
#include "base/problem.h"
#include "base/units.h"
#include "corner/corner.h"

namespace pivotfix {
namespace {

constexpr double most_corrected_mm = 30.0;
constexpr double as_recorded_mm = 0.05;

}  // namespace

AtRecordedHeight at_recorded_height(const HardpointSet& set) {
  AtRecordedHeight result{set, {}};
  if (!set.ride_height) return result;
  const RideHeightMiss miss = *set.ride_height;
  result.hardpoints.ride_height.reset();
  const std::string off = format_fixed(std::abs(miss.above_mm), 1) + " \xC2\xB1 " +
                          length_words(miss.sigma_mm, 1) + " " + (miss.above_mm > 0.0 ? "above" : "below") +
                          " its recorded ride height";
  if (std::abs(miss.above_mm) > most_corrected_mm)
    throw Problem(ProblemKind::refused,
                  "When measured, the wheel stood " + with_plain_spaces(off) + ", too far to be corrected (" +
                      format_fixed(most_corrected_mm, 0) + " mm are the most).",
                  "Set the hub to the recorded distance with the jack and take the photos again, or correct "
                  "[ride_height].");
  if (std::abs(miss.above_mm) < as_recorded_mm && miss.sigma_mm == 0.0) return result;
  for (ToeReading& reading : result.hardpoints.readings)
    if (reading.from_photos) reading.travel_mm += miss.above_mm;
  const Corner corner = make_corner(set);
  Corner moved = at_other_ride_height(corner, -miss.above_mm, miss.sigma_mm, Kept::link_length);
  // What the user says of the wheel is said of ride height; the photos show it where it stood.
  if (!corner.wheel.camber_from_photos) moved.wheel = corner.wheel;
  result.hardpoints = with_corner(result.hardpoints, moved);
  result.words = "When measured, the wheel stood " + off +
                 ". The suspension was solved at the recorded height, and everything here holds there.";
  return result;
}

}  // namespace pivotfix
