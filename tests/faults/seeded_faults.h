// SPDX-License-Identifier: Apache-2.0
// A good set of rendered photos of a made-up corner, and faults seeded into it one at a time: into what
// stands before the camera, the camera, the pictures, or the job. The truth is known.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "locate/locate_hardpoints.h"
#include "network/network.h"
#include "render/photo_renderer.h"

namespace pivotfix::faults {

struct Scene {
  std::vector<std::vector<render::PaperTag>> tags{};  // before the camera, for each photo
  std::vector<render::Shot> shots{};
  std::vector<render::Film> films{};
  std::vector<CameraDescription> cameras{};
  std::vector<std::function<void(GreyPicture&)>> paint{};  // on the finished picture
  std::vector<bool> broken{};                              // the file ends half way
  std::vector<bool> as_in_good_set{};                      // the picture is not made anew
  std::vector<std::pair<int, int>> copies{};               // photo, and the one that it is a copy of
  std::vector<std::vector<Sighting>> sightings{};          // filled when the photos are taken
  std::vector<ScaleBar> scale_bars{};
  HardpointQuestion question{};
};

struct Fault {
  std::string name{};
  std::function<void(Scene&)> seed{};
};

// "nothing", the good set, comes first.
const std::vector<Fault>& all_faults();

enum class Ending { plain, warned, refused };

struct Found {
  std::string name{};
  Ending ending = Ending::plain;
  std::string says{};  // the refusal, or the warnings
  double error_mm = 0.0;
  double sigma_mm = 0.0;
  bool wrong() const { return ending != Ending::refused && !(error_mm <= 3.0 * sigma_mm); }
};

Found try_fault(const Fault& fault);

// As a Markdown table.
std::string table_of(const std::vector<Found>& found);

}  // namespace pivotfix::faults
