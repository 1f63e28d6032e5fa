// SPDX-License-Identifier: Apache-2.0
// The program on rendered photographs of a strut corner as the guide asks for them: seven sets, the hub
// turned, a pointer in its dent and on the lower ball joint, and the car on its wheels; from JPEG files to
// the advice. Against the truth are held the joints that have one place, and the height at which the car
// stood: what the axes of arms and strut are worth is in tests/locate and heights_bench. Simbody moves
// the parts.
#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <cmath>
#include <map>
#include <nlohmann/json.hpp>
#include <regex>

#include "base/units.h"
#include "bench/heights_photos.h"
#include "bench/pointer_scene.h"
#include "cli/run_program.h"
#include "locate/heights_scene.h"

namespace pivotfix {
namespace {

namespace fs = std::filesystem;
using bench::PhotoOrder;
using Eigen::Vector3d;

constexpr int width_px = 2304;
constexpr double wheel_on_mm = 6.0;  // with the wheel on, the hub stood this much higher than in "ride"
constexpr double cap_mm = 75.0;      // of the tag on the wheel's cap outside the wheel centre
constexpr int cap_tag = 80;
const std::vector<int> pointer_tags{70, 71, 72, 73};

std::vector<render::PaperTag> papers(const std::vector<TagAt>& tags) {
  std::vector<render::PaperTag> result;
  for (const TagAt& tag : tags) result.push_back({tag.number, tag.vehicle_from_tag});
  return result;
}

class Photographer {
 public:
  explicit Photographer(const fs::path& folder) : folder_(folder) {}

  void take(const std::string& set, std::vector<render::PaperTag> tags, const Vector3d& from_mm,
            const Vector3d& aim_mm, double roll_rad) {
    PhotoOrder order;
    order.tags = std::move(tags);
    order.shot = bench::phone_at(from_mm, aim_mm, roll_rad, width_px);
    order.seed = 100 + static_cast<unsigned>(orders_.size());
    files_.push_back(folder_ / set / ("photo " + std::to_string(++count_[set]) + ".jpg"));
    orders_.push_back(std::move(order));
  }

  // Each from three sides.
  void take_position(const std::string& set, const std::vector<render::PaperTag>& tags,
                     const Vector3d& aim_mm, double above_mm) {
    for (const double azimuth : {-0.6, 0.0, 0.6})
      take(set, tags, aim_mm + Vector3d(850 * std::sin(azimuth), 850 * std::cos(azimuth), above_mm), aim_mm,
           azimuth > 0.0 ? M_PI / 2.0 : 0.0);
  }

  void develop() const {
    for (const fs::path& file : files_) fs::create_directories(file.parent_path());
    bench::on_all_cores(orders_.size(), [&](std::size_t i) { bench::write_photo(orders_[i], files_[i]); });
  }

 private:
  fs::path folder_;
  std::vector<PhotoOrder> orders_{};
  std::vector<fs::path> files_{};
  std::map<std::string, int> count_{};
};

void take_sets(const HeightsScene& scene, Photographer& photographer) {
  for (const PlannedView& view : scene.views)
    photographer.take("photos/" + scene.stands[view.stand].set, papers(scene.tags[view.stand]),
                      view.place_vehicle_mm, view.aim_vehicle_mm, view.roll_rad);
}

void take_pointer(const HeightsScene& scene, Photographer& photographer) {
  const Vector3d dent_mm(120, 900, 12);
  const Vector3d joint_mm = scene.corner.truth.position_vehicle_mm("lower_ball_joint");
  const auto position = [&](const std::string& name, const Vector3d& tip_mm, double sideways, double fore,
                            double above_mm) {
    std::vector<render::PaperTag> tags = papers(scene.tags[0]);
    for (const auto& tag : bench::stick(pointer_tags, bench::leaning(tip_mm, sideways, fore)))
      tags.push_back(tag);
    photographer.take_position("pointer/" + name, tags, tip_mm + Vector3d(0, 0, 120), above_mm);
  };
  int dent = 0;
  for (const auto& [sideways, fore] :
       {std::pair{0.0, 0.0}, {0.6, 0.1}, {-0.6, 0.1}, {0.1, 0.55}, {0.3, -0.45}})
    position("dent " + std::to_string(++dent), dent_mm, sideways, fore, 420.0);
  // Leaning outwards, past the hub; photographed from knee height.
  int touch = 0;
  for (const double sideways : {0.5, -0.5})
    position("touch " + std::to_string(++touch), joint_mm, sideways, -0.7, 60.0);
}

// Only body and cap count in these; the floor tags stay behind, as if the car had been rolled away.
void take_wheel_on(const HeightsScene& scene, Photographer& photographer) {
  Stand stand;
  stand.travel_mm = wheel_on_mm;
  const auto poses = scene.corner.poses(stand);
  std::vector<render::PaperTag> tags;
  for (const CornerTag& tag : scene.corner.tags)
    if (tag.body == "car") tags.push_back({tag.number, tag.vehicle_from_tag_at_ride});
  const Vector3d spin = scene.corner.spin_axis();
  const Vector3d cap = scene.corner.truth.position_vehicle_mm("wheel_centre") + cap_mm * spin;
  const RigidTransform cap_at_ride{Eigen::Quaterniond::FromTwoVectors(Vector3d::UnitZ(), spin), cap};
  tags.push_back({cap_tag, poses.at("knuckle") * cap_at_ride});
  for (const double azimuth : {-0.7, -0.25, 0.25, 0.7})
    photographer.take("photos/wheel on", tags,
                      Vector3d(1300 * std::sin(azimuth), 650 + 1300 * std::cos(azimuth), 700), {0, 620, 560},
                      azimuth > 0.0 ? M_PI / 2.0 : 0.0);
}

std::string strip(const HeightsScene& scene, std::size_t which) {
  const ScaleBar& bar = scene.input.scale_bars[which];
  return "[[scale]]\nbetween = [" + std::to_string(bar.from_tag) + ", " + std::to_string(bar.to_tag) +
         "]\nlength = " + std::to_string(bar.length_mm) + "\nsigma = 0.01\n";
}

std::string job_text(const HeightsScene& scene) {
  std::string text = "title = \"invented\"\nside = \"left\"\nlayout = \"strut\"\n";
  for (const Stand& stand : scene.stands) {
    const auto slash = stand.set.find('/');
    text += "[[photos]]\nheight = \"" + stand.set.substr(0, slash) + "\"\n";
    if (slash != std::string::npos) text += "hub_turn = " + stand.set.substr(stand.set.size() - 1) + "\n";
    if (stand.rack_mm != 0.0) text += "steered = true\n";
    text += "files = [\"photos/" + stand.set + "/*.jpg\"]\n";
  }
  return text + strip(scene, 0) + strip(scene, 1) +
         "[moving]\nknuckle = [40, 41, 42, 43, 64, 65, 66]\nlower_arm = [44, 45, 46, 47]\n"
         "link = [52, 53, 54]\nhub = [56, 57, 58, 59]\n"
         "[pointer]\ntags = [70, 71, 72, 73]\ndent = [\"pointer/dent*\"]\n"
         "[ride_height]\ntag = 34\nphotos = [\"photos/wheel on\"]\nwheel_tag = 80\n"
         "body = [30, 31, 32, 33, 34, 35]\nstand_off = 75\nsigma = 0.1\n"
         "[axes]\nfloor = [0, 1, 2, 3, 4, 5]\nforward = [6, 7]\nforward_sigma = \"0.02 deg\"\nhalf_track = " +
         std::to_string(scene.corner.truth.position_vehicle_mm("wheel_centre").y()) +
         "\n[hardpoint]\nlower_arm_front_pivot = { motion = true }\nlower_arm_rear_pivot = { motion = true "
         "}\n"
         "lower_ball_joint = { touches = [\"pointer/touch*\"], sigma = 0.1, motion = true }\n"
         "strut_top_mount = { motion = true }\n"
         "strut_axis_low = { tube = [64, 65, 66], stand_off = 26, sigma = 0.05 }\n"
         "link_inner_joint = { motion = true }\nlink_outer_joint = { motion = true }\n"
         "wheel_centre = { ring = [56, 57, 58, 59], stand_off = 20, sigma = 0.05 }\n"
         "[wheel]\ntoe = 0.1\ncamber = -1.2\n[[readings]]\nfrom_photos = true\n";
}

bool has(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

void expect_hardpoints(const nlohmann::json& found, const HardpointSet& truth) {
  for (const char* name : {"lower_ball_joint", "link_inner_joint", "link_outer_joint", "wheel_centre"}) {
    const auto& point = found.at("hardpoints").at(name);
    const Vector3d place(point.at("x"), point.at("y"), point.at("z"));
    EXPECT_LT((place - truth.position_vehicle_mm(name)).norm(), 0.15) << name;
  }
}

// The height that "ride" was missed by, found in the photos with the wheel on and worked in by `steer`.
void expect_ride_height(const std::string& located, const std::string& advised) {
  EXPECT_TRUE(has(located, "How the car stood")) << located;
  const std::regex row_of_ride(R"(\n  ride [^\n]* ([0-9.]+) ± [0-9.]+ mm too low)");
  std::smatch found;
  ASSERT_TRUE(std::regex_search(located, found, row_of_ride)) << located;
  EXPECT_NEAR(std::stod(found[1]), wheel_on_mm, 0.3);
  const std::regex worked_in("When measured, the wheel stood ([0-9.]+)");
  ASSERT_TRUE(std::regex_search(advised, found, worked_in)) << advised;
  EXPECT_NEAR(std::stod(found[1]), wheel_on_mm, 0.3);
  EXPECT_TRUE(has(advised, " below its recorded ride height")) << advised;
}

TEST(HeightsJob, GoesFromPhotosAtHeightsWithPointerAndWheelOnToTheAdvice) {
  const HeightsScene scene = heights_scene({Layout::strut, true, 6, 3});
  const Workshop workshop;
  Photographer photographer(workshop.folder());
  take_sets(scene, photographer);
  take_pointer(scene, photographer);
  take_wheel_on(scene, photographer);
  photographer.develop();
  workshop.write("job.toml", job_text(scene));

  const Outcome whole = workshop.run({"run", "job.toml"});
  ASSERT_EQ(whole.exit_code, 0) << whole.err;
  EXPECT_TRUE(has(workshop.read("report.html"), "Where to stand for the next photo"));
  const Outcome located = workshop.run({"locate", "job.toml"});
  ASSERT_EQ(located.exit_code, 0) << located.err;
  expect_hardpoints(nlohmann::json::parse(workshop.read("hardpoints.json")), scene.corner.truth);
  const Outcome advised = workshop.run({"steer", "job.toml", "--report", "steer.html"});
  ASSERT_EQ(advised.exit_code, 0) << advised.err;
  expect_ride_height(located.out, advised.out);
  EXPECT_TRUE(has(advised.out, "Toe in the photo sets agrees with the hardpoints.")) << advised.out;
  EXPECT_TRUE(has(advised.out, " (photos)")) << advised.out;
  EXPECT_TRUE(has(workshop.read("steer.html"), "</html>"));
}

}  // namespace
}  // namespace pivotfix
