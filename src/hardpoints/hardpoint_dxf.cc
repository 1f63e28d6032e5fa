// SPDX-License-Identifier: Apache-2.0
// ASCII DXF, release 12: the oldest form, which every CAD program reads. A file is pairs of lines, a group
// code and its value; codes after the published DXF reference.
#include <string>
#include <string_view>
#include <utility>

#include "base/units.h"
#include "hardpoints/bars.h"
#include "hardpoints/hardpoint_set.h"

namespace pivotfix {
namespace {

using Eigen::Vector3d;

class Dxf {
 public:
  Dxf& group(int code, const std::string& value) {
    const std::string digits = std::to_string(code);
    text_ += std::string(digits.size() < 3 ? 3 - digits.size() : 0, ' ') + digits + "\n" + value + "\n";
    return *this;
  }
  // Codes `first`, `first` + 10 and `first` + 20 are x, y and z.
  Dxf& point(int first, const Vector3d& at_mm) {
    for (int c = 0; c < 3; ++c) group(first + 10 * c, format_fixed(at_mm[c], 6));
    return *this;
  }
  const std::string& text() const { return text_; }

 private:
  std::string text_{};
};

constexpr const char* points_layer = "HARDPOINTS";
constexpr const char* names_layer = "NAMES";
constexpr const char* links_layer = "LINKS";

// Release 12 knows ASCII only.
std::string ascii(const std::string& text) {
  std::string result;
  for (const char c : text) result += c >= ' ' && c <= '~' ? c : '?';
  return result;
}

void write_head(Dxf& dxf, const HardpointSet& set) {
  dxf.group(999, "pivotfix hardpoints, millimetres, x forward, y left, z up from the ground");
  if (!set.title.empty()) dxf.group(999, ascii(set.title));
  Vector3d least = Vector3d::Zero(), most = Vector3d::Zero();
  for (const Hardpoint& point : set.points) {
    least = least.cwiseMin(point.position_vehicle_mm);
    most = most.cwiseMax(point.position_vehicle_mm);
  }
  dxf.group(0, "SECTION").group(2, "HEADER").group(9, "$ACADVER").group(1, "AC1009");
  dxf.group(9, "$EXTMIN").point(10, least).group(9, "$EXTMAX").point(10, most);
  // Points as crosses of 8 mm: plain ones are a dot that nobody sees.
  dxf.group(9, "$PDMODE").group(70, "3").group(9, "$PDSIZE").group(40, "8.0").group(0, "ENDSEC");
}

void write_layers(Dxf& dxf) {
  dxf.group(0, "SECTION").group(2, "TABLES").group(0, "TABLE").group(2, "LAYER").group(70, "3");
  const std::pair<const char*, const char*> layers[] = {
      {points_layer, "1"}, {names_layer, "7"}, {links_layer, "5"}};
  for (const auto& [name, colour] : layers)
    dxf.group(0, "LAYER").group(2, name).group(70, "0").group(62, colour).group(6, "CONTINUOUS");
  dxf.group(0, "ENDTAB").group(0, "ENDSEC");
}

}  // namespace

std::string hardpoints_to_dxf(const HardpointSet& set) {
  Dxf dxf;
  write_head(dxf, set);
  write_layers(dxf);
  dxf.group(0, "SECTION").group(2, "ENTITIES");
  for (const Hardpoint& point : set.points) {
    dxf.group(0, "POINT").group(8, points_layer).point(10, point.position_vehicle_mm);
    dxf.group(0, "TEXT").group(8, names_layer).point(10, point.position_vehicle_mm + Vector3d(6.0, 6.0, 0.0));
    dxf.group(40, "8.0").group(1, point.name);
  }
  for (const Bar& bar : bars_of(set)) {
    if (bar.kind == std::string_view("knuckle")) continue;
    dxf.group(0, "LINE").group(8, links_layer).point(10, set.points[bar.from].position_vehicle_mm);
    dxf.point(11, set.points[bar.to].position_vehicle_mm);
  }
  dxf.group(0, "ENDSEC").group(0, "EOF");
  return dxf.text();
}

}  // namespace pivotfix
