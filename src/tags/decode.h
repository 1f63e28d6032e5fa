// SPDX-License-Identifier: Apache-2.0
// Reads the cells of a four-cornered black patch and says which tag it is. Private.
#pragma once

#include <optional>

#include "tags/plane_geometry.h"

namespace pivotfix {

struct Decoded {
  int tag_number = -1;
  int quarter_turns = 0;
  int wrong_cells = 0;
  double contrast = 0.0;  // white minus black, grey levels
  double white = 0.0;     // grey level of the paper
};

// Empty when it is no tag: too little contrast, no black border on white paper, or no member of the family
// within `most_wrong_cells`.
std::optional<Decoded> decode(const GreyPicture& picture, const TagCorners& corner_px, int most_wrong_cells);

}  // namespace pivotfix
