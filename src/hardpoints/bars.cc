// SPDX-License-Identifier: Apache-2.0
#include "hardpoints/bars.h"

#include <algorithm>

namespace pivotfix {
namespace {

class Collector {
 public:
  explicit Collector(const HardpointSet& set) : set_(set) {}

  void add(const std::string& from, const std::string& to, const char* kind, const std::string& words) {
    const auto a = find(from), b = find(to);
    if (a != set_.points.end() && b != set_.points.end())
      bars.push_back({static_cast<std::size_t>(a - set_.points.begin()),
                      static_cast<std::size_t>(b - set_.points.begin()), kind, words});
  }

  std::vector<Bar> bars{};

 private:
  std::vector<Hardpoint>::const_iterator find(const std::string& name) const {
    return std::find_if(set_.points.begin(), set_.points.end(),
                        [&](const Hardpoint& point) { return point.name == name; });
  }

  const HardpointSet& set_;
};

}  // namespace

bool stays_on_body(const std::string& hardpoint_name) {
  return hardpoint_name.ends_with("_pivot") || hardpoint_name.ends_with("_inner_joint") ||
         hardpoint_name == "strut_top_mount";
}

std::vector<Bar> bars_of(const HardpointSet& set) {
  Collector found(set);
  for (const Hardpoint& point : set.points)
    if (!stays_on_body(point.name) && point.name != "wheel_centre")
      found.add(point.name, "wheel_centre", "knuckle", "");
  found.add("strut_top_mount", "strut_axis_low", "arm", "strut");
  for (const std::string level : {"lower", "upper"})
    for (const std::string end : {"front", "rear"}) {
      const std::string link = level + "_" + end + "_link_";
      found.add(level + "_arm_" + end + "_pivot", level + "_ball_joint", "arm", level + " arm");
      found.add(link + "inner_joint", link + "outer_joint", "arm", level + " links");
    }
  found.add("link_inner_joint", "link_outer_joint", "link", "steering link");
  return found.bars;
}

}  // namespace pivotfix
