// SPDX-License-Identifier: Apache-2.0
// Beside the way from photos to advice: a test of the whole method on lengths that are known better. After
// the idea of VDI/VDE 2634 part 1: known lengths in several directions through the volume are measured; the
// result is the largest length error, which no limit that someone states may be smaller than.
#pragma once

#include <cmath>
#include <string>
#include <vector>

#include "base/problem.h"
#include "network/network.h"

namespace pivotfix {

// A distance between two tags' centres, known from something better than the photos.
struct KnownLength {
  int from_tag = -1;
  int to_tag = -1;
  double length_mm = 0.0;
  double sigma_mm = 0.0;
  std::string line{};  // lengths along one measuring line have the same name; empty: a line of its own
  Place place{};
};

struct TestedLength {
  KnownLength known{};
  double measured_mm = 0.0;
  double measured_sigma_mm = 0.0;
  double limit_mm = 0.0;

  double error_mm() const { return measured_mm - known.length_mm; }
  bool passes() const { return std::abs(error_mm()) <= limit_mm; }
};

// A length error of at most constant_mm + per_metre_mm * length in metres is allowed.
struct LengthErrorLimit {
  double constant_mm = 0.15;
  double per_metre_mm = 0.0;

  double of_mm(double length_mm) const { return constant_mm + per_metre_mm * length_mm / 1000.0; }
};

struct Acceptance {
  std::vector<TestedLength> lengths{};  // in the order given
  // The largest error, sign aside; when not passed, the one largest against its limit.
  std::size_t worst = 0;
  bool passed = false;  // no length exceeds its limit
  int lines = 0;
  int fewest_on_a_line = 0;
  double volume_diagonal_mm = 0.0;  // of the box round all tags, along the network's own main directions
  // What the guideline recommends and these lengths lack, in sentences; empty: nothing.
  std::vector<std::string> short_of_guideline{};
};

// Throws Problem(refused) with the place of a length when one of its tags was not measured, or when it is a
// scale bar of the adjustment: a length that made the scale tests nothing.
Acceptance judge_lengths(const Network& network, const std::vector<KnownLength>& known,
                         const LengthErrorLimit& limit);

// The table and the verdict for a terminal; the table alone as CSV (millimetres).
std::string acceptance_text(const Acceptance& acceptance);
std::string acceptance_csv(const Acceptance& acceptance);

}  // namespace pivotfix
