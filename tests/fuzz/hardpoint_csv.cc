// SPDX-License-Identifier: Apache-2.0
// Hardpoints from a spreadsheet, with and without being told which corner it is.
#include "fuzz/fuzz.h"
#include "hardpoints/hardpoint_set.h"

using namespace pivotfix;

namespace {

void read_and_write(const std::string& text, const CsvHints& hints) {
  HardpointSet set;
  if (!read_or_complain([&] { set = hardpoints_from_csv(text, "hardpoints.csv", hints); })) return;
  must_hold(!set.points.empty(), "there are hardpoints in what was read");
  must_hold(set.covariance_mm2.allFinite(), "uncertainties that were read are finite");
  for (const Hardpoint& point : set.points)
    must_hold(point.position_vehicle_mm.allFinite(), "hardpoints that were read are finite");
  // As a hardpoint file it is accepted, and a spreadsheet that was written reads back as the same.
  must_hold(read_or_complain([&] { hardpoints_from_json(hardpoints_to_json(set), "hardpoints.json"); }),
            "what was read from a spreadsheet makes a hardpoint file that is accepted");
  const std::string written = hardpoints_to_csv(set);
  const CsvHints same{set.side, set.layout};
  must_hold(hardpoints_to_csv(hardpoints_from_csv(written, "hardpoints.csv", same)) == written,
            "written hardpoints read back");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text = text_of(data, size);
  read_and_write(text, {});
  for (const Layout layout : {Layout::strut, Layout::five_link}) read_and_write(text, {Side::right, layout});
  return 0;
}
