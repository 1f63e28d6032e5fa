// SPDX-License-Identifier: Apache-2.0
// What stands behind the tags of a rendered photo, in linear light. Private to this folder.
#pragma once

#include <opencv2/core.hpp>
#include <random>
#include <vector>

#include "photos/photos.h"

namespace pivotfix::render {

// Dark and bright shapes of all sizes, none of them a tag.
void draw_shapes(cv::Mat_<float>& fine, std::mt19937_64& random);

// Rows of the pictures in random order, each enlarged at random and mirrored or not: the textures, edges and
// small dark things of real places. `pictures` must not be empty.
void draw_patchwork(cv::Mat_<float>& fine, const std::vector<GreyPicture>& pictures, std::mt19937_64& random);

}  // namespace pivotfix::render
