// SPDX-License-Identifier: Apache-2.0
// Over which wheel travel the toe curve shall be flat, what "flat" means, and toe as an alignment rack reads
// it.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace pivotfix {

// Wheel travel over which the toe curve shall be flat; both positive.
struct Travel {
  double bump_mm = 40.0;
  double droop_mm = 40.0;
};
inline constexpr double longest_travel_mm = 300.0;  // bump or droop, of any wheel
inline constexpr double least_travel_mm = 1.0;      // bump and droop together
inline bool is_enough(const Travel& travel) {
  return travel.bump_mm + travel.droop_mm >= least_travel_mm;
}

// What "flattest" means over that travel.
enum class HeightAim {
  least_squares,  // least mean square of the toe change
  smallest_peak,  // smallest largest toe change
  zero_slope,     // no toe change in the first bit of travel
};
std::string_view name_of(HeightAim aim);                // "least-squares", "smallest-peak", "zero-slope"
HeightAim height_aim_from_name(std::string_view name);  // throws Problem(input)

// How much toe change counts at a travel: straight lines between the points, level beyond them.
struct TravelWeight {
  double travel_mm = 0.0;
  double weight = 1.0;
};

// A way of driving, as travel of the wheel with its weights; `name` is empty for the user's own numbers.
struct Driving {
  std::string name{};
  Travel travel{};
  std::vector<TravelWeight> weights{};  // empty: all travel counts alike
  HeightAim aim = HeightAim::least_squares;
};

// Toe of this wheel with the spacers as they are now, read on an alignment rack or from photos of the hub's
// tags. Only how it changes counts: what all readings have in common drops out.
struct ToeReading {
  double travel_mm = 0.0;
  double toe_rad = 0.0;
  double sigma_rad = 0.0;
  double travel_sigma_mm = 0.5;
  bool from_photos = false;
  // The hardpoints rest on the same observations: worked in, these would count twice.
  bool only_compared = false;
};

// "street", "track", "standing-start", "one-inch" with the travel that is common practice for them
// (docs/job-file.md has the numbers). Throws Problem(input) for any other name.
Driving driving_named(std::string_view name);
const std::vector<Driving>& known_drivings();

double weight_at(const std::vector<TravelWeight>& weights, double travel_mm);

}  // namespace pivotfix
