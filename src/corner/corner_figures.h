// SPDX-License-Identifier: Apache-2.0
// All that is told of how a car's front corners move: every figure over travel, straight ahead and with the
// rack held aside, and both wheels while the body rolls and the rack steers. Signs as in corner.h,
// those of roll and steer as in axle.h.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "base/units.h"
#include "corner/axle.h"
#include "corner/corner.h"

namespace pivotfix {

struct FigureQuestion {
  HardpointSet hardpoints{};
  std::optional<HardpointSet> other_corner{};  // else the mirror image of `hardpoints`
  std::vector<double> travels_mm{};            // low to high; ride height is always looked at too
  std::vector<double> racks_mm{};              // positions beside straight ahead, to the left positive
  double largest_roll_rad = 3.0 * rad_per_deg;
  double rack_travel_mm = 40.0;  // to either side, for Ackermann
  std::optional<double> wheelbase_mm{};
};

struct FiguresAt {
  double travel_mm = 0.0;
  Figures figures{};
  // Standard uncertainties out of the hardpoints' covariance and that of camber; zero when the covariance is
  // not known.
  std::array<double, figure_count> sigmas{};
  double sigma_of(Figure figure) const { return sigmas.at(static_cast<std::size_t>(figure)); }
};

struct FigureCurve {
  double rack_mm = 0.0;  // to the left positive
  std::vector<FiguresAt> states{};
  std::string ended_early{};

  // Of the state at ride height; nothing when the rack does not get there.
  const FiguresAt* at_ride_height() const;
};

struct CornerFigures {
  Side side = Side::left;  // of the corner that the curves belong to
  FigureCurve straight_ahead{};
  std::vector<FigureCurve> rack_held{};  // one for each rack position, without uncertainties
  bool mirrored = true;                  // the other corner is the mirror image
  RollCurve roll{};
  SteerCurve steer{};
};

// Throws Problem(refused) for what `make_corner` and `make_axle` refuse, Problem(input) for roll, rack travel
// and wheelbase out of their bounds. Where a corner locks, a curve ends and says so.
CornerFigures corner_figures(const FigureQuestion& question);

}  // namespace pivotfix
