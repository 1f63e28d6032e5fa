// SPDX-License-Identifier: Apache-2.0
// The hardpoint file's published schema, spreadsheets and drawings, judged by other people's libraries. All
// cars here are invented.
#include <gtest/gtest.h>

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "base/problem.h"
#include "base/temporary_folder.h"
#include "hardpoints/hardpoint_set.h"

namespace pivotfix {
namespace {

namespace fs = std::filesystem;

class HardpointFormats : public testing::Test {
 protected:
  std::string write(const std::string& name, const std::string& content) const {
    return folder_.write(name, content).string();
  }

  struct Judgement {
    int exit_code = -1;
    std::string words{};
  };
  Judgement judged(const std::string& arguments) const {
    const std::string out = (folder_.path() / "judgement").string();
    const std::string command = std::string(PYTHON) + " " + PIVOTFIX_SOURCE_DIR +
                                "/tests/hardpoints/check_hardpoint_files.py " + arguments + " > " + out +
                                " 2>&1";
    const int status = std::system(command.c_str());
    std::ostringstream words;
    words << std::ifstream(out).rdbuf();
    return {status == 0 ? 0 : 1, words.str()};
  }
  Judgement by_schema(const std::string& files) const {
    return judged(std::string("json ") + PIVOTFIX_SOURCE_DIR + "/docs/hardpoints.schema.json " + files);
  }

  const TemporaryFolder folder_{};
};

HardpointSet full_set(Layout layout) {
  HardpointSet set;
  set.title = "invented car";
  set.layout = layout;
  double step = 0.0;
  for (const std::string& name : hardpoint_names(layout)) {
    set.points.push_back({name, {10.0 + step, 400.0 + 2.0 * step, 200.0 - step}, "tag 3"});
    step += 17.25;
  }
  const auto n = static_cast<Eigen::Index>(3 * set.points.size());
  set.covariance_mm2 = 0.04 * Eigen::MatrixXd::Identity(n, n);
  set.covariance_mm2(0, 4) = set.covariance_mm2(4, 0) = 0.01;
  set.rod_end = RodEnd{};
  set.rod_end->between_now = {{2.54, 1, "0.1 in"}};
  set.rod_end->stock = {{2.54, 2, "0.1 in"}};
  set.rod_end->other_side_now = {{1.0, 1, "shim"}};
  set.rod_end->high_misalignment = HighMisalignmentSpacers{6.35, 12.0, true, "neck"};
  set.rod_end->stud = {76.2, 12.0, 4.5};
  set.rod_end->sizes = {16.0, 22.225, 12.0, 12.0, 20.0, 0.2};
  set.driving = driving_named("standing-start");
  set.readings = {{0.0, 0.001, 0.0005, 0.5}, {20.0, 0.002, 0.0005, 0.5, true, true}};
  set.ride_height = RideHeightMiss{1.5, 0.4};
  set.program_version = "0.1.0";
  set.record = {"car 7",         "2026-05-17", "A. Person", "photos", {{"photos/a.jpg", "0123456789abcdef"}},
                {"--lens a.yml"}};
  set.body_tags.numbers = {70, 71, 72};
  set.body_tags.centres_vehicle_mm = {{300, 300, 500}, {-300, 320, 520}, {0, 310, 700}};
  set.body_tags.covariance_mm2 = Eigen::MatrixXd::Zero(9, n + 9);
  set.body_tags.covariance_mm2.rightCols(9) = 0.01 * Eigen::MatrixXd::Identity(9, 9);
  set.body_tags.covariance_mm2(1, 4) = 0.003;
  return set;
}

TEST_F(HardpointFormats, FilesOfEveryLayoutFitThePublishedSchema) {
  std::string files;
  for (const Layout layout : all_layouts())
    files += " " + write(std::string(name_of(layout)) + ".json", hardpoints_to_json(full_set(layout)));
  const Judgement judgement = by_schema(files);
  EXPECT_EQ(judgement.exit_code, 0) << judgement.words;
}

TEST_F(HardpointFormats, WhatIsInTheDocumentationFitsThePublishedSchema) {
  std::ostringstream text;
  text << std::ifstream(PIVOTFIX_SOURCE_DIR "/docs/hardpoint-file.md").rdbuf();
  const std::size_t from = text.str().find("```json") + 7;
  const std::string json = text.str().substr(from, text.str().find("```", from) - from);
  const Judgement judgement = by_schema(write("typed.json", json));
  EXPECT_EQ(judgement.exit_code, 0) << judgement.words;
}

// What the program refuses, the schema refuses too.
TEST_F(HardpointFormats, SchemaAndProgramRefuseTheSameSlips) {
  const std::string good = hardpoints_to_json(full_set(Layout::strut));
  const std::pair<const char*, const char*> slips[] = {{"\"version\": 1", "\"version\": 2"},
                                                       {"\"side\": \"left\"", "\"side\": \"front\""},
                                                       {"\"units\": \"mm\"", "\"units\": \"furlong\""},
                                                       {"\"x\": 10.0", "\"x\": \"far\""},
                                                       {"\"mount\": \"below-arm\"", "\"mount\": 3"},
                                                       {"\"count\": 2", "\"cuont\": 2"},
                                                       {"\"numbers\": [70", "\"numbers\": [999"},
                                                       {"\"checksum\"", "\"checksums\""}};
  for (const auto& [from, to] : slips) {
    std::string bad = good;
    const std::size_t at = bad.find(from);
    ASSERT_NE(at, std::string::npos) << from;
    bad.replace(at, std::string(from).size(), to);
    EXPECT_EQ(by_schema(write("bad.json", bad)).exit_code, 1) << to;
    EXPECT_THROW(hardpoints_from_json(bad, "bad.json"), Problem) << to;
  }
}

TEST_F(HardpointFormats, RecordAndBodyTagsComeBackAsWritten) {
  const HardpointSet set = full_set(Layout::double_wishbone);
  const HardpointSet back = hardpoints_from_json(hardpoints_to_json(set), "a.json");
  EXPECT_EQ(hardpoints_to_json(back), hardpoints_to_json(set));
  EXPECT_EQ(back.record.who, "A. Person");
  EXPECT_EQ(back.record.files.at(0).checksum, "0123456789abcdef");
  EXPECT_EQ(back.record.options, set.record.options);
  EXPECT_EQ(back.body_tags.numbers, set.body_tags.numbers);
  EXPECT_EQ(back.body_tags.centres_vehicle_mm.at(1), set.body_tags.centres_vehicle_mm.at(1));
  EXPECT_TRUE(back.body_tags.covariance_mm2 == set.body_tags.covariance_mm2);
}

TEST_F(HardpointFormats, MirroringTurnsTheBodyTagsTooAndTwiceIsNothing) {
  const HardpointSet set = full_set(Layout::strut);
  const HardpointSet other = mirrored(set);
  EXPECT_EQ(other.body_tags.centres_vehicle_mm.at(0), Eigen::Vector3d(300, -300, 500));
  EXPECT_EQ(other.body_tags.covariance_mm2(1, 4), set.body_tags.covariance_mm2(1, 4)) << "y with y";
  EXPECT_EQ(hardpoints_to_json(mirrored(other)), hardpoints_to_json(set));
}

TEST_F(HardpointFormats, CsvComesBackWithPointsSigmasSideAndLayout) {
  for (const Layout layout : all_layouts())
    for (const bool right : {false, true}) {
      const HardpointSet set = right ? mirrored(full_set(layout)) : full_set(layout);
      const HardpointSet back = hardpoints_from_csv(hardpoints_to_csv(set), "a.csv");
      EXPECT_EQ(back.side, set.side);
      // The spring's place does not show in the points.
      EXPECT_EQ(back.layout,
                layout == Layout::double_wishbone_upper_spring ? Layout::double_wishbone : layout);
      ASSERT_EQ(back.points.size(), set.points.size());
      for (std::size_t i = 0; i < set.points.size(); ++i) {
        EXPECT_EQ(back.points[i].position_vehicle_mm, set.points[i].position_vehicle_mm);
        EXPECT_NEAR(sigma_mm(back, i, 1), 0.2, 1e-12);
      }
    }
}

TEST_F(HardpointFormats, CsvIsReadAsSpreadsheetsOfOtherCountriesSaveIt) {
  const HardpointSet set = hardpoints_from_csv(
      "\xEF\xBB\xBFname;x_mm;y_mm;z_mm;way;note\r\n"
      "lower_ball_joint;1,5;-712,25;188;\"rule; \"\"good\"\"\";mine\r\n"
      "wheel_centre;0;-745;305;;\r\n"
      ";;;;;\r\n",
      "a.csv");
  EXPECT_EQ(set.side, Side::right);
  EXPECT_EQ(set.points.at(0).position_vehicle_mm, Eigen::Vector3d(1.5, -712.25, 188));
  EXPECT_EQ(set.points.at(0).way, "rule; \"good\"");
  EXPECT_EQ(set.covariance_mm2.size(), 0);
  const HardpointSet inches = hardpoints_from_csv("name\tz_in\ty_in\tx_in\nwheel_centre\t12\t29.5\t0\n",
                                                  "a.csv", {{}, Layout::five_link});
  EXPECT_EQ(inches.points.at(0).position_vehicle_mm, Eigen::Vector3d(0, 29.5 * 25.4, 12 * 25.4));
  EXPECT_EQ(inches.layout, Layout::five_link);
}

TEST(HardpointCsv, QuotesWhatNeedsQuoting) {
  HardpointSet set;
  set.points = {{"wheel_centre", {1.0, 2.5, -3.0}, "two tags, \"mean\""}};
  EXPECT_EQ(hardpoints_to_csv(set),
            "name,x_mm,y_mm,z_mm,sigma_x_mm,sigma_y_mm,sigma_z_mm,way\n"
            "wheel_centre,1.0000,2.5000,-3.0000,,,,\"two tags, \"\"mean\"\"\"\n");
  set.covariance_mm2 = Eigen::Vector3d(0.01, 0.04, 0.09).asDiagonal();
  EXPECT_NE(hardpoints_to_csv(set).find(",0.1000,0.2000,0.3000,"), std::string::npos);
}

TEST_F(HardpointFormats, CsvNamesTheLineOfASlip) {
  const auto complaint = [](const std::string& csv) {
    try {
      hardpoints_from_csv(csv, "a.csv");
    } catch (const Problem& problem) {
      return std::string(problem.what()).substr(0, 62);
    }
    return std::string("accepted");
  };
  const std::string head = "name,x_mm,y_mm,z_mm,sigma_x_mm,sigma_y_mm,sigma_z_mm\n";
  EXPECT_EQ(complaint("wheel_centre,1,2,3\nlower_ball_joint,1,2,3\n").substr(0, 40),
            "a.csv:1: The first line does not name th");
  EXPECT_EQ(complaint(head + "wheel_centre,1,two,3\n").substr(0, 22), "a.csv:2: y: \"two\" is n");
  EXPECT_EQ(complaint(head + "wheel_centre,1,,3\n").substr(0, 45),
            "a.csv:2: The y of 'wheel_centre' is missing. ");
  EXPECT_EQ(complaint(head + "wheel_centre,1,2,3\nwheel_centre,1,2,3\n").substr(0, 42),
            "a.csv:3: 'wheel_centre' is given twice. Ke");
  EXPECT_EQ(complaint(head + "wheel_centre,1,2,3,1,1,1\nlower_ball_joint,1,2,3\n").substr(0, 45),
            "a.csv:3: Some hardpoints have a sigma and oth");
  EXPECT_EQ(complaint("name;x_mm;y_mm;z_mm\nwheel_centre;1,234;2.5;3\n").substr(0, 45),
            "a.csv:2: Some numbers have a point and others");
  EXPECT_EQ(complaint(head + "wheel_center,1,2,3\n"),
            "a.csv:2: 'wheel_center' is no hardpoint of any layout. Did you");
  EXPECT_EQ(complaint(head + "strut_top_mount,1,2,3\nupper_ball_joint,1,2,3\n").substr(0, 40),
            "a.csv: These names belong to no layout t");
  EXPECT_EQ(complaint("name,x_mm,y_mm,z_mm\nwheel_centre,1,5,742,5,300,5\n"),
            "a.csv:2: This line has 7 fields, the first line names 4. Where")
      << "decimal commas between commas";
  EXPECT_EQ(complaint(head + "\"wheel_centre,1,2,3\n").substr(0, 40),
            "a.csv:2: A quote is opened and never clo");
}

// Looking back over the whole field at each of them took a quarter of an hour.
TEST_F(HardpointFormats, CsvOfFourMegabytesOfQuotesIsRefusedAtOnce) {
  const auto start = std::chrono::steady_clock::now();
  EXPECT_THROW(hardpoints_from_csv("name,x_mm,y_mm,z_mm\na" + std::string(4'000'000, '"'), "a.csv"), Problem);
  EXPECT_LT(std::chrono::steady_clock::now() - start, std::chrono::seconds(20));
}

TEST_F(HardpointFormats, DxfIsReadByAnotherLibraryWithEveryPointInPlace) {
  for (const Layout layout : all_layouts()) {
    HardpointSet set = full_set(layout);
    set.title = "inv\xC3\xB6nted";
    const Judgement judgement = judged("dxf " + write("a.dxf", hardpoints_to_dxf(set)));
    EXPECT_EQ(judgement.exit_code, 0) << judgement.words;
    EXPECT_NE(judgement.words.find("VERSION AC1009"), std::string::npos);
    for (const Hardpoint& point : set.points) {
      char place[100];
      const Eigen::Vector3d& at = point.position_vehicle_mm;
      std::snprintf(place, sizeof place, "POINT %.6f %.6f %.6f\nTEXT %s\n", at.x(), at.y(), at.z(),
                    point.name.c_str());
      EXPECT_NE(judgement.words.find(place), std::string::npos) << place << judgement.words;
    }
    std::size_t lines = 0;
    for (std::size_t at = 0; (at = judgement.words.find("\nLINE ", at)) != std::string::npos; ++at) ++lines;
    const std::size_t wanted = layout == Layout::strut || layout == Layout::strut_two_links ? 4U : 5U;
    EXPECT_EQ(lines, wanted) << "steering link, arm legs or links, strut";
  }
}

}  // namespace
}  // namespace pivotfix
