// SPDX-License-Identifier: Apache-2.0
#include "fuzz/fuzz.h"
#include "hardpoints/hardpoint_set.h"

using namespace pivotfix;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  HardpointSet set;
  if (!read_or_complain([&] { set = hardpoints_from_json(text_of(data, size), "hardpoints.json"); }))
    return 0;
  for (const Hardpoint& point : set.points)
    must_hold(point.position_vehicle_mm.allFinite(), "hardpoints that were read are finite");
  hardpoints_to_csv(set);
  // What was accepted once is accepted again, and is the same.
  const std::string written = hardpoints_to_json(set);
  must_hold(hardpoints_to_json(hardpoints_from_json(written, "hardpoints.json")) == written,
            "written hardpoints read back");
  return 0;
}
