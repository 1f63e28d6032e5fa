// SPDX-License-Identifier: Apache-2.0
// Reading and writing hardpoint files. All cars here are invented.
#include <gtest/gtest.h>

#include <fstream>
#include <random>
#include <sstream>
#include <string>

#include "base/problem.h"
#include "base/units.h"
#include "hardpoints/random_set.h"

namespace pivotfix {
namespace {

const char* typed_by_hand = R"({
  "format": "pivotfix-hardpoints",
  "version": 1,
  "title": "invented strut car",
  "side": "left",
  "layout": "strut",
  "units": "mm",
  "hardpoints": {
    "lower_arm_front_pivot": {"x": 120, "y": 350, "z": 205, "sigma": [0.3, 0.4, 0.5], "way": "tape measure"},
    "lower_ball_joint": {"x": 0, "y": "27.5 in", "z": 190, "sigma": 0.2}
  },
  "wheel": {"toe_deg": 0.1, "camber_deg": -1.5},
  "rod_end": {"mount": "below-arm", "between_now": [{"thickness": "0.1 in"}],
              "stock": [{"thickness": 2.54, "count": 3, "label": "thin"}]},
  "travel": {"bump": 50, "droop": "2 in"}
}
)";

std::string with_replaced(const std::string& from, const std::string& to) {
  std::string text = typed_by_hand;
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

Problem problem_of(const std::string& text) {
  try {
    hardpoints_from_json(text, "car.json");
  } catch (const Problem& problem) {
    return problem;
  }
  ADD_FAILURE() << "accepted: " << text;
  return Problem(ProblemKind::internal, "", "");
}

TEST(HardpointJson, ReadsWhatAPersonTypes) {
  const HardpointSet set = hardpoints_from_json(typed_by_hand, "car.json");
  EXPECT_EQ(set.title, "invented strut car");
  EXPECT_EQ(set.side, Side::left);
  EXPECT_EQ(set.layout, Layout::strut);
  EXPECT_EQ(set.position_vehicle_mm("lower_arm_front_pivot"), Eigen::Vector3d(120, 350, 205));
  EXPECT_EQ(set.position_vehicle_mm("lower_ball_joint"), Eigen::Vector3d(0, 698.5, 190));
  EXPECT_EQ(set.points[0].way, "tape measure");
  EXPECT_DOUBLE_EQ(sigma_mm(set, 0, 2), 0.5);
  EXPECT_DOUBLE_EQ(sigma_mm(set, 1, 0), 0.2);
  EXPECT_EQ(set.covariance_mm2(0, 1), 0.0);
  EXPECT_DOUBLE_EQ(set.wheel.toe_rad, rad_from_deg(0.1));
  EXPECT_DOUBLE_EQ(set.wheel.camber_rad, rad_from_deg(-1.5));
  ASSERT_TRUE(set.rod_end.has_value());
  EXPECT_EQ(set.rod_end->stud_axis_vehicle, Eigen::Vector3d(0, 0, 1));
  EXPECT_DOUBLE_EQ(set.rod_end->between_now.at(0).thickness_mm, 2.54);
  EXPECT_EQ(set.rod_end->between_now.at(0).label, "0.1 in");
  EXPECT_EQ(set.rod_end->between_now.at(0).count, 1);
  EXPECT_EQ(set.rod_end->stock.at(0).count, 3);
  EXPECT_EQ(set.rod_end->stock.at(0).label, "thin");
  ASSERT_TRUE(set.driving.has_value());
  EXPECT_DOUBLE_EQ(set.driving->travel.bump_mm, 50.0);
  EXPECT_DOUBLE_EQ(set.driving->travel.droop_mm, 50.8);
}

TEST(HardpointJson, ReadsTheFileInItsDescription) {
  std::ifstream file(PIVOTFIX_SOURCE_DIR "/docs/hardpoint-file.md");
  std::stringstream text;
  text << file.rdbuf();
  const std::size_t from = text.str().find("```json") + 7;
  ASSERT_GT(text.str().size(), from);
  const std::string json = text.str().substr(from, text.str().find("```", from) - from);
  const HardpointSet set = hardpoints_from_json(json, "hardpoint-file.md");
  EXPECT_EQ(set.points.size(), hardpoint_names(Layout::strut).size());
  EXPECT_EQ(set.rod_end->stock.size(), 3U);
}

TEST(HardpointJson, TakesInchesForEveryBareLength) {
  std::string text = with_replaced(R"("units": "mm")", R"("units": "in")");
  text.replace(text.find(R"("bump": 50)"), 10, R"("bump": 1.5)");
  const HardpointSet set = hardpoints_from_json(text, "car.json");
  EXPECT_DOUBLE_EQ(set.points[0].position_vehicle_mm.x(), 120 * 25.4);
  EXPECT_DOUBLE_EQ(set.points[1].position_vehicle_mm.y(), 27.5 * 25.4) << "carries its own unit";
  EXPECT_DOUBLE_EQ(sigma_mm(set, 0, 0), 0.3 * 25.4);
  EXPECT_DOUBLE_EQ(set.rod_end->stock.at(0).thickness_mm, 2.54 * 25.4);
  EXPECT_DOUBLE_EQ(set.driving->travel.bump_mm, 1.5 * 25.4);
}

TEST(HardpointJson, NamesASpacerAsItIsWrittenWithTheUnitThatCounts) {
  const auto spacer_of = [](const char* units, const char* written) {
    std::string text = with_replaced(R"("thickness": "0.1 in")", R"("thickness": )" + std::string(written));
    text.replace(text.find(R"("units": "mm")"), 13, R"("units": ")" + std::string(units) + '"');
    text.replace(text.find(R"("bump": 50)"), 10, R"("bump": 1.5)");
    return hardpoints_from_json(text, "car.json").rod_end->between_now.at(0);
  };
  EXPECT_EQ(spacer_of("in", R"("0.2")").label, "0.2 in");
  EXPECT_DOUBLE_EQ(spacer_of("in", R"("0.2")").thickness_mm, 5.08);
  EXPECT_EQ(spacer_of("mm", R"("0.2")").label, "0.2 mm");
  EXPECT_EQ(spacer_of("in", R"("2.5 mm")").label, "2.5 mm");
  EXPECT_EQ(spacer_of("in", "0.2").label, "0.200 in");
}

TEST(HardpointJson, TellsToeOfZeroFromToeThatNobodyRead) {
  const HardpointSet zero =
      hardpoints_from_json(with_replaced("\"toe_deg\": 0.1", "\"toe_deg\": 0"), "car.json");
  const HardpointSet none = hardpoints_from_json(with_replaced("\"toe_deg\": 0.1, ", ""), "car.json");
  for (const HardpointSet& set : {zero, hardpoints_from_json(hardpoints_to_json(zero), "again.json")})
    EXPECT_TRUE(set.wheel.toe_is_known && set.wheel.camber_is_known && set.wheel.toe_rad == 0.0);
  for (const HardpointSet& set : {none, hardpoints_from_json(hardpoints_to_json(none), "again.json")})
    EXPECT_TRUE(!set.wheel.toe_is_known && set.wheel.camber_is_known);
}

TEST(HardpointJson, KeepsACamberOfPhotosWithItsUncertainty) {
  HardpointSet set = hardpoints_from_json(typed_by_hand, "car.json");
  EXPECT_TRUE(!set.wheel.camber_from_photos && set.wheel.camber_sigma_rad == 0.0) << "as files always were";
  EXPECT_EQ(hardpoints_to_json(set).find("camber_sigma"), std::string::npos);
  set.wheel.camber_sigma_rad = rad_from_deg(0.1);
  set.wheel.camber_from_photos = true;
  const HardpointSet back = hardpoints_from_json(hardpoints_to_json(set), "car.json");
  EXPECT_NEAR(back.wheel.camber_sigma_rad, rad_from_deg(0.1), 1e-13);
  EXPECT_TRUE(back.wheel.camber_is_known && back.wheel.camber_from_photos);
  EXPECT_EQ(problem_of(with_replaced(R"("camber_deg": -1.5)", R"("camber_sigma_deg": 0.1)")).what_happened(),
            "'wheel.camber_sigma_deg' needs camber_deg.");
  EXPECT_EQ(problem_of(with_replaced("-1.5}", R"(-1.5, "camber_sigma_deg": -0.1})")).what_happened(),
            "'wheel.camber_sigma_deg' must not be negative.");
}

TEST(HardpointJson, ReturnsWhatWasWritten) {
  for (const Layout layout : {Layout::strut, Layout::double_wishbone}) {
    HardpointSet set = random_set(layout, 7);
    set.points.front().on_line_only = true;
    const HardpointSet back = hardpoints_from_json(hardpoints_to_json(set), "car.json");
    EXPECT_EQ(back.title, set.title);
    EXPECT_EQ(back.side, set.side);
    EXPECT_EQ(back.layout, set.layout);
    EXPECT_EQ(back.program_version, set.program_version);
    ASSERT_EQ(back.points.size(), set.points.size());
    for (std::size_t i = 0; i < set.points.size(); ++i) {
      EXPECT_EQ(back.points[i].name, set.points[i].name);
      EXPECT_EQ(back.points[i].way, set.points[i].way);
      EXPECT_EQ(back.points[i].on_line_only, set.points[i].on_line_only);
      EXPECT_LT(
          (back.points[i].position_vehicle_mm - set.points[i].position_vehicle_mm).cwiseAbs().maxCoeff(),
          6e-7);
    }
    EXPECT_TRUE(back.covariance_mm2 == set.covariance_mm2) << "to the last bit";
    EXPECT_NEAR(back.wheel.toe_rad, set.wheel.toe_rad, 1e-13);
    EXPECT_NEAR(back.wheel.camber_rad, set.wheel.camber_rad, 1e-13);
    EXPECT_EQ(back.wheel.rim_diameter_mm, set.wheel.rim_diameter_mm);
    ASSERT_TRUE(back.rod_end && back.driving);
    EXPECT_LT((back.rod_end->stud_axis_vehicle - set.rod_end->stud_axis_vehicle).norm(), 1e-15);
    EXPECT_EQ(back.rod_end->mount, RodEndMount::above_arm);
    ASSERT_EQ(back.rod_end->stock.size(), 2U);
    EXPECT_EQ(back.rod_end->stock[0].thickness_mm, 2.54);
    EXPECT_EQ(back.rod_end->stock[1].label, "shim");
    EXPECT_EQ(back.rod_end->between_now.size(), 1U);
    EXPECT_EQ(back.driving->travel.bump_mm, 45.0);
    EXPECT_EQ(hardpoints_to_json(back), hardpoints_to_json(set)) << "a second round changes nothing";
  }
}

TEST(HardpointJson, ReturnsWhatIsSaidOfStudSizesDrivingAndReadings) {
  HardpointSet set = random_set(Layout::strut, 3);
  RodEnd& rod_end = *set.rod_end;
  rod_end.other_side_now = {{1.0, 2, "shim"}};
  rod_end.stack_total_mm = 12.5;
  rod_end.high_misalignment = HighMisalignmentSpacers{6.35, 12.0, false, "neck"};
  rod_end.stud = {76.2, 12.0, 4.5};
  rod_end.sizes = {16.0, 22.225, 12.0, 12.0, 20.0, rad_from_deg(13.0)};
  rod_end.steering_lock_rad = rad_from_deg(34.0);
  set.driving = driving_named("standing-start");
  set.driving->aim = HeightAim::smallest_peak;
  set.readings = {{0.0, 0.001, 0.0005, 0.5}, {25.4, -0.002, 0.0005, 1.0, true, true}};
  const HardpointSet back = hardpoints_from_json(hardpoints_to_json(set), "car.json");
  EXPECT_EQ(hardpoints_to_json(back), hardpoints_to_json(set));
  EXPECT_EQ(back.rod_end->other_side_now->at(0).label, "shim");
  EXPECT_EQ(back.rod_end->stack_total_mm, 12.5);
  EXPECT_EQ(back.rod_end->high_misalignment->thickness_mm, 6.35);
  EXPECT_FALSE(back.rod_end->high_misalignment->on_car);
  EXPECT_EQ(back.rod_end->stud.thread_beyond_nut_mm, 4.5);
  EXPECT_EQ(back.rod_end->sizes.ball_diameter_mm, 22.225);
  EXPECT_NEAR(back.rod_end->sizes.allowed_tilt_rad, rad_from_deg(13.0), 1e-12);
  EXPECT_NEAR(back.rod_end->steering_lock_rad, rad_from_deg(34.0), 1e-12);
  EXPECT_EQ(back.driving->name, "standing-start");
  EXPECT_EQ(back.driving->aim, HeightAim::smallest_peak);
  EXPECT_EQ(back.driving->weights.size(), set.driving->weights.size());
  ASSERT_EQ(back.readings.size(), 2U);
  EXPECT_NEAR(back.readings[1].toe_rad, -0.002, 1e-12);
  EXPECT_EQ(back.readings[1].travel_sigma_mm, 1.0);
  EXPECT_TRUE(back.readings[1].from_photos && back.readings[1].only_compared);
  EXPECT_FALSE(back.readings[0].from_photos || back.readings[0].only_compared);
}

TEST(HardpointJson, ReturnsHowFarTheWheelStoodOffItsRideHeight) {
  HardpointSet set = hardpoints_from_json(typed_by_hand, "car.json");
  EXPECT_FALSE(set.ride_height);
  set.ride_height = RideHeightMiss{-4.5, 1.25};
  const HardpointSet again = hardpoints_from_json(hardpoints_to_json(set), "car.json");
  ASSERT_TRUE(again.ride_height);
  EXPECT_EQ(again.ride_height->above_mm, -4.5);
  EXPECT_EQ(again.ride_height->sigma_mm, 1.25);
}

TEST(HardpointJson, KeepsFieldsItDoesNotKnowWhereTheyWere) {
  std::string text = with_replaced(R"("z": 190,)", R"("z": 190, "colour": "red",)");
  text.replace(text.find(R"("version": 1,)"), 13, R"("version": 1, "notes": {"by": ["A", "B"]},)");
  const std::string written = hardpoints_to_json(hardpoints_from_json(text, "car.json"));
  EXPECT_NE(written.find(R"("notes": {"by": ["A", "B"]})"), std::string::npos) << written;
  EXPECT_LT(written.find(R"("lower_ball_joint")"), written.find(R"("colour": "red")")) << written;
  EXPECT_LT(written.find(R"("colour": "red")"), written.find(R"("wheel")")) << written;
}

TEST(HardpointJson, RefusesAFieldThatIsNearlyOneItKnows) {
  struct Slip {
    const char* from;
    const char* to;
    const char* field;
    const char* meant;
    int line;
  };
  const Slip slips[] = {
      {R"("between_now")", R"("betwen_now")", "'rod_end.betwen_now'", "\"between_now\"", 13},
      {R"("rod_end")", R"("rod_ends")", "'rod_ends'", "\"rod_end\"", 13},
      {R"("travel")", R"("travle")", "'travle'", "\"travel\"", 15},
      {R"("camber_deg": -1.5)", R"("camber_deg": -1.5, "rim_diametre": 432)", "'wheel.rim_diametre'",
       "\"rim_diameter\"", 12},
      {R"(, "sigma": 0.2)", R"(, "sgima": 0.2)", "'hardpoints.lower_ball_joint.sgima'", "\"sigma\"", 10},
      {R"("travel": {)", R"("readngs": [], "travel": {)", "'readngs'", "\"readings\"", 15},
      // The job file's names for the same.
      {R"("between_now")", R"("spacers": [{"thickness": 5}], "between_now")", "'rod_end.spacers'",
       "\"stock\"", 13},
      {R"("toe_deg": 0.1)", R"("toe": 0.1, "toe_deg": 0.1)", "'wheel.toe'", "\"toe_deg\"", 12},
      {R"("toe_deg": 0.1)", R"("toe_dge": 0.1)", "'wheel.toe_dge'", "\"toe_deg\"", 12},
  };
  for (const Slip& slip : slips) {
    const Problem problem = problem_of(with_replaced(slip.from, slip.to));
    EXPECT_EQ(problem.kind(), ProblemKind::input);
    EXPECT_EQ(problem.what_happened(), std::string(slip.field) + " is no field of a hardpoint file.");
    EXPECT_NE(problem.remedy().find(slip.meant), std::string::npos) << problem.remedy();
    EXPECT_EQ(problem.place().line, slip.line) << problem.what();
  }
}

TEST(HardpointJson, SortsTheCovarianceIntoTheOrderOfThePoints) {
  std::string text =
      with_replaced(R"("wheel": {)", R"("covariance": {"order": ["lower_ball_joint", "lower_arm_front_pivot"],
    "mm2": [[0.04,0,0, 0,0,0.01],[0,0.04,0,0,0,0],[0,0,0.04,0,0,0],[0,0,0,0.09,0,0],[0,0,0,0,0.16,0],[0.01,0,0,0,0,0.25]]},
  "wheel": {)");
  const HardpointSet set = hardpoints_from_json(text, "car.json");
  EXPECT_DOUBLE_EQ(set.covariance_mm2(2, 3), 0.01) << "front pivot's z with ball joint's x";
  EXPECT_DOUBLE_EQ(set.covariance_mm2(3, 2), 0.01);
  EXPECT_DOUBLE_EQ(set.covariance_mm2(1, 1), 0.16);
  text.replace(text.find("[[0.04"), 6, "[[0.05");
  EXPECT_NE(problem_of(text).what_happened().find("sigma of 'lower_ball_joint'"), std::string::npos);
}

TEST(HardpointJson, SaysWhereTheTextIsNotJson) {
  const Problem problem = problem_of("{\n  \"format\": \"pivotfix-hardpoints\",\n  \"version\": NaN\n}\n");
  EXPECT_EQ(problem.kind(), ProblemKind::input);
  EXPECT_EQ(problem.place().file, "car.json");
  EXPECT_EQ(problem.place().line, 3);
}

TEST(HardpointJson, RefusesWithTheNameAndLineOfWhatIsWrong) {
  struct Wrong {
    const char* from;
    const char* to;
    const char* says;
    int line;
  };
  const Wrong wrongs[] = {
      {R"("x": 120,)", R"("x": true,)", "'hardpoints.lower_arm_front_pivot.x' must be a length", 9},
      {R"("x": 120,)", R"("x": "far",)", "far", 9},
      {R"("x": 120,)", R"("x": "nan mm",)", "'hardpoints.lower_arm_front_pivot.x'", 9},
      {R"("x": 120,)", "", "'hardpoints.lower_arm_front_pivot.x' is missing", 9},
      {R"("x": 120,)", R"("x": 1e12,)", "longer than any car", 9},
      {R"("lower_ball_joint")", R"("lower_bal_joint")", "'lower_bal_joint' is no hardpoint of a strut corner",
       10},
      {R"("lower_ball_joint")", R"("upper_ball_joint")", "is no hardpoint of a strut corner", 10},
      {R"(, "sigma": 0.2)", "", "Some hardpoints have a sigma", 10},
      {R"("sigma": 0.2)", R"("sigma": -0.2)", "must not be negative", 10},
      {R"("sigma": [0.3, 0.4, 0.5])", R"("sigma": [0.3, 0.4])", "one length or three", 9},
      {R"("side": "left")", R"("side": "front")", "'front' is no side", 5},
      {R"("side": "left")", R"("side": 3)", "'side' must be text", 5},
      {R"("layout": "strut")", R"("layout": "leaf")", "'leaf' is no suspension layout", 6},
      {R"("units": "mm")", R"("units": "furlong")", "'units' must be", 7},
      {R"("units": "mm",)", "", "'units' is missing", 0},
      {R"("version": 1)", R"("version": 2)", "version is not 1", 3},
      {R"("format": "pivotfix-hardpoints")", R"("format": "x")", "'format' must be", 2},
      {R"("toe_deg": 0.1)", R"("toe_deg": 100)", "'wheel.toe_deg' must be between", 12},
      {R"("below-arm")", R"("beside")", "'beside' is no place of a rod end", 13},
      {R"("count": 3)", R"("count": 2.5)", "whole number", 14},
      {R"("count": 3)", R"("cuont": 3)", "'rod_end.stock.cuont' is no field of a spacer", 14},
      {R"("thickness": 2.54)", R"("thickness": 0)", "more than zero", 14},
      {R"("bump": 50)", R"("bump": -5)", "'travel.bump' must be between", 15},
      {R"("bump": 50)", R"("bump": [50])", "'travel.bump' must be a length", 15},
      {R"("bump": 50)", R"("bump": 50, "bump": 60)", "'bump' is given twice", 15},
      {R"({"bump": 50, "droop": "2 in"})", "[]", "'travel' must be an object", 15},
  };
  for (const Wrong& wrong : wrongs) {
    const Problem problem = problem_of(with_replaced(wrong.from, wrong.to));
    EXPECT_EQ(problem.kind(), ProblemKind::input) << wrong.to;
    EXPECT_NE(std::string(problem.what()).find(wrong.says), std::string::npos) << problem.what();
    EXPECT_EQ(problem.place().line, wrong.line) << problem.what();
  }
}

TEST(HardpointJson, SurvivesWhateverBytesComeIn) {
  const std::string deep(200000, '[');
  for (const std::string& text : {std::string(), std::string("null"), std::string("[]"), std::string("{}"),
                                  deep, std::string("{\"a\":") + deep, std::string("\xff\xfe\x00", 3),
                                  std::string("{\"hardpoints\": 1e999}")})
    EXPECT_EQ(problem_of(text).kind(), ProblemKind::input);
  // Every cut and a few thousand single-byte changes of a good file: a set or a Problem, nothing else.
  const std::string good = hardpoints_to_json(random_set(Layout::strut, 3));
  std::mt19937 random(11);
  for (int i = 0; i < 3000; ++i) {
    std::string text = good;
    text[random() % text.size()] = static_cast<char>(random());
    if (i % 3 == 0) text.resize(random() % text.size());
    try {
      hardpoints_from_json(text, "car.json");
    } catch (const Problem& problem) {
      EXPECT_EQ(problem.kind(), ProblemKind::input);
    }
  }
}

TEST(HardpointJson, RefusesACovarianceThatIsNone) {
  HardpointSet set = random_set(Layout::strut, 5);
  set.covariance_mm2(0, 1) = set.covariance_mm2(1, 0) = 10.0 * set.covariance_mm2(0, 0);
  EXPECT_NE(problem_of(hardpoints_to_json(set)).what_happened().find("is no covariance"), std::string::npos);
}

}  // namespace
}  // namespace pivotfix
