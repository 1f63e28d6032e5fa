// SPDX-License-Identifier: Apache-2.0
// The lens file of a calibration that found the simulated camera's true lens.
#pragma once

#include "lens/lens_file.h"
#include "simulated_photos.h"

namespace pivotfix::simulation {

inline LensFile true_lens(const Photographed& photographed) {
  const simulation::Truth& truth = photographed.truth;
  LensFile file;
  file.name = "pocket.yml";
  file.camera = photographed.input.photos.front().camera;
  file.lens.values = {truth.focal_px, 1.0,      truth.cx, truth.cy, truth.k1,
                      truth.k2,       truth.k3, truth.p1, truth.p2};
  const std::array<double, lens_parameter_count> sigma{0.3, 0.0, 0.3, 0.3, 5e-4, 2e-3, 3e-3, 2e-5, 2e-5};
  for (int i = 0; i < lens_parameter_count; ++i) file.covariance(i, i) = sigma[i] * sigma[i];
  return file;
}

}  // namespace pivotfix::simulation
