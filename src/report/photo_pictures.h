// SPDX-License-Identifier: Apache-2.0
// The photos as thumbnails with what was found in them, and which part of the picture all tags together
// cover.
#pragma once

#include "page/markup.h"
#include "report/report.h"

namespace pivotfix::report {

// Each photo of the network that has a thumbnail, upright as it was held: tags that took part, tags that were
// rejected, arrows from where the whole network wants a tag's centre to where it was seen. Empty without
// thumbnails.
Markup photo_gallery(const ReportInput& input);

// So many times as long as they are in the thumbnail are these arrows.
double arrow_enlargement(const ReportInput& input);

// One picture for each lens: where tags lay. `input.network` is set.
Markup coverage_pictures(const ReportInput& input);

}  // namespace pivotfix::report
