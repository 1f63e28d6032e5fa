// SPDX-License-Identifier: Apache-2.0
// Two measurements beside each other, and the sets of several cars, through the command line. All cars here
// are invented.
#include <gtest/gtest.h>

#include <cmath>

#include "hardpoints/hardpoint_set.h"
#include "run_program.h"

namespace pivotfix {
namespace {

class Club : public testing::Test {
 protected:
  Club() { workshop_.copy_data("hand-typed-strut.json", "a.json"); }

  // The same car with the number after a field's name, in the named pivot, replaced.
  void write_changed(const std::string& name, const std::string& pivot, const std::string& from,
                     const std::string& to) const {
    std::string text = workshop_.read("a.json");
    const std::size_t at = text.find(from, text.find('"' + pivot + '"'));
    ASSERT_NE(at, std::string::npos) << from;
    workshop_.write(name, text.replace(at, from.size(), to));
  }

  // A file that says nothing of uncertainties, as somebody types it.
  void write_without_sigma(const std::string& name, const std::string& from) const {
    std::string text = workshop_.read(from);
    const std::string sigma = ", \"sigma\": 1.0";
    for (auto at = text.find(sigma); at != std::string::npos; at = text.find(sigma))
      text.erase(at, sigma.size());
    workshop_.write(name, text);
  }

  Workshop workshop_{};
};

bool has(const Outcome& outcome, const std::string& words) {
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  return outcome.out.find(words) != std::string::npos;
}

// 3 mm are nothing where each coordinate is known to 3 mm, and much where it is known to 0.2 mm.
TEST_F(Club, CompareTakesTheUncertaintyThatAFileLacksFromAnOption) {
  write_changed("b.json", "link_inner_joint", "\"z\": 245", "\"z\": 248");
  write_without_sigma("bare-a.json", "a.json");
  write_without_sigma("bare-b.json", "b.json");
  const auto compared = [&](const std::vector<std::string>& more) {
    std::vector<std::string> arguments{"compare", "bare-a.json", "bare-b.json"};
    arguments.insert(arguments.end(), more.begin(), more.end());
    return workshop_.run(arguments);
  };
  const std::string moved = "Moved: link inner joint by ";
  EXPECT_FALSE(has(compared({}), moved));
  EXPECT_FALSE(has(compared({"--sigma", "3 mm"}), moved));
  EXPECT_TRUE(has(compared({"--sigma", "0.2 mm"}), moved));
  EXPECT_EQ(compared({"--sigma", "-1 mm"}).exit_code, 2);
}

// Half way between what one alarm in twenty and one in a thousand comparisons of the same corner take.
TEST_F(Club, CompareTakesTheShareOfFalseAlarmsFromAnOption) {
  write_changed("b.json", "link_inner_joint", "\"z\": 245", "\"z\": 251");
  const std::string moved = "Moved: link inner joint by ";
  EXPECT_TRUE(has(workshop_.run({"compare", "a.json", "b.json"}), moved));
  EXPECT_FALSE(has(workshop_.run({"compare", "a.json", "b.json", "--false-alarms", "0.001"}), moved));
  EXPECT_EQ(workshop_.run({"compare", "a.json", "b.json", "--false-alarms", "2"}).exit_code, 2);
}

// Of three like cars, each known to `sigma`, the mean is known to sigma / sqrt(3). Where one differs, one
// more car of the chassis may be anywhere among them.
TEST_F(Club, PoolTakesTheUncertaintyThatAFileLacksAndWhatItIsOfFromOptions) {
  write_without_sigma("bare.json", "a.json");
  for (const char* number : {"1", "2", "3"}) {
    std::string car = workshop_.read("bare.json");  // the same numbers again would be the same measurement
    car.replace(car.find("\"z\": 180"), 8, "\"z\": 180." + std::string(number));
    workshop_.write("car " + std::string(number) + ".json", car);
  }
  const auto pooled = [&](const std::vector<std::string>& more) {
    std::vector<std::string> arguments{"pool", "car 1.json", "car 2.json", "car 3.json",
                                       "-o",   "p.json",     "--force"};
    arguments.insert(arguments.end(), more.begin(), more.end());
    return workshop_.run(arguments);
  };
  const auto sigma_of_ball_joint_mm = [&](const std::vector<std::string>& more) {
    const Outcome outcome = pooled(more);
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
    const HardpointSet set = hardpoints_from_json(workshop_.read("p.json"), "p.json");
    return sigma_mm(set, set.index_of("lower_ball_joint"), 2);
  };
  EXPECT_NE(pooled({}).exit_code, 0) << "nothing is known of how well they are known";
  EXPECT_FALSE(workshop_.has("p.json"));
  const double known_mm = sigma_of_ball_joint_mm({"--sigma", "0.3 mm", "--mean"});
  EXPECT_GE(known_mm, 0.999 * 0.3 / std::sqrt(3.0))
      << "and more, for three cars tell little of their scatter";
  EXPECT_LT(known_mm, 0.3);
  EXPECT_NEAR(sigma_of_ball_joint_mm({"--sigma", "0.6 mm", "--mean"}), 2.0 * known_mm, 0.01 * known_mm);
  std::string other = workshop_.read("car 3.json");
  workshop_.write("car 3.json", other.replace(other.find("\"z\": 180.3"), 10, "\"z\": 186"));
  const double of_one_more_mm = sigma_of_ball_joint_mm({"--sigma", "0.3 mm"});
  EXPECT_GT(of_one_more_mm, 1.0);
  EXPECT_LT(sigma_of_ball_joint_mm({"--sigma", "0.3 mm", "--mean"}), 0.7 * of_one_more_mm);
}

TEST_F(Club, CompareNamesTheJointThatMovedAndWritesTheReport) {
  write_changed("b.json", "link_inner_joint", "\"z\": 245", "\"z\": 275");
  const Outcome same = workshop_.run({"compare", "a.json", "a.json"});
  EXPECT_EQ(same.exit_code, 0) << same.err;
  EXPECT_NE(same.out.find("No pivot moved by more than"), std::string::npos) << same.out;
  EXPECT_NE(same.out.find("Effective mismatch"), std::string::npos) << same.out;
  const Outcome moved = workshop_.run({"compare", "a.json", "b.json", "--report", "ab.html"});
  EXPECT_EQ(moved.exit_code, 0) << moved.err;
  EXPECT_NE(moved.out.find("Moved: link inner joint by "), std::string::npos) << moved.out;
  EXPECT_NE(moved.out.find("mostly up"), std::string::npos) << moved.out;
  const std::string report = workshop_.read("ab.html");
  EXPECT_NE(report.find("Moved: link inner joint by "), std::string::npos);
  EXPECT_EQ(report.find("src=\"http"), std::string::npos);
  EXPECT_EQ(workshop_.run({"compare", "a.json", "b.json", "--report", "ab.html"}).exit_code, 2);
  EXPECT_EQ(workshop_.run({"compare", "a.json", "b.json", "--on", "wheels"}).err,
            "pivotfix: --on: \"wheels\" is not known. Known are tags and axes.\n");
}

TEST_F(Club, CompareJudgesWhatWasTouchedAndWritesItForPrograms) {
  const Outcome wrong = workshop_.run({"compare", "a.json", "a.json", "--touched", "link-outer-joint.up"});
  EXPECT_EQ(wrong.exit_code, 2);
  EXPECT_EQ(wrong.err,
            "pivotfix: --touched: \"up\" is no direction. Known are x, y, z and stud: --touched "
            "rod-end.stud\n");
  EXPECT_EQ(
      workshop_.run({"compare", "a.json", "a.json", "--touched", "gear-lever"}).err,
      "pivotfix: --touched: \"gear-lever\" is no pivot of this corner. Known are lower-arm-front-pivot, "
      "lower-arm-rear-pivot, lower-ball-joint, strut-top-mount, strut-axis-low, link-inner-joint, "
      "link-outer-joint, wheel-centre.\n");
  EXPECT_EQ(workshop_.run({"compare", "a.json", "a.json", "--touched", "link"}).err,
            "pivotfix: --touched: \"link\" may be several. Say which: link-inner-joint, link-outer-joint.\n");
  const Outcome same = workshop_.run(
      {"compare", "a.json", "a.json", "--touched", "link-outer-joint.stud", "--json", "same.json"});
  EXPECT_EQ(same.exit_code, 0) << same.err;
  EXPECT_NE(same.out.find("No pivot that you touched moved"), std::string::npos) << same.out;
  EXPECT_NE(same.out.find("held fixed"), std::string::npos) << same.out;
  const std::string json = workshop_.read("same.json");
  EXPECT_NE(json.find("\"touched_only\": true"), std::string::npos) << json;
  EXPECT_NE(json.find("\"direction\": \"along stud\""), std::string::npos) << json;
  EXPECT_NE(json.find("\"moved\": \"no\""), std::string::npos) << json;
}

// A spreadsheet has no place for toe, camber and the stud's lean.
TEST_F(Club, CompareTakesWhatASpreadsheetCannotHoldForNoChange) {
  ASSERT_EQ(workshop_.run({"convert", "a.json", "a.csv"}).exit_code, 0);
  const Outcome same = workshop_.run({"compare", "a.json", "a.json"});
  const Outcome mixed = workshop_.run({"compare", "a.json", "a.csv"});
  EXPECT_EQ(mixed.exit_code, 0) << mixed.err;
  const auto figures = [](const std::string& text) {
    const std::size_t at = text.find("What that did");
    return text.substr(at, text.find("How it was compared") - at);
  };
  EXPECT_EQ(figures(mixed.out), figures(same.out));
  EXPECT_NE(mixed.out.find("a.csv holds the points only"), std::string::npos) << mixed.out;
}

TEST_F(Club, CompareKnowsTheRodEndByItsWorkshopName) {
  const Outcome short_name = workshop_.run({"compare", "a.json", "a.json", "--touched", "Rod-End.stud"});
  EXPECT_EQ(short_name.exit_code, 0) << short_name.err;
  EXPECT_EQ(short_name.out,
            workshop_.run({"compare", "a.json", "a.json", "--touched", "link-outer-joint.stud"}).out);
}

TEST_F(Club, PoolIsTheSameBytesInAnyOrderAndGivesACarBack) {
  const std::string text = workshop_.read("a.json");
  for (const auto& [name, title] :
       {std::pair{"a.json", "car 1"}, std::pair{"b.json", "car 2"}, std::pair{"c.json", "car 3"}}) {
    std::string car = text;
    const std::size_t at = car.find("\"title\": \"") + 10;
    car.replace(at, car.find('"', at) - at, title);
    const std::size_t height = car.find("\"z\": 245");
    workshop_.write(name, car.replace(height, 8, std::string("\"z\": 24") + title[4]));
  }
  const Outcome once =
      workshop_.run({"pool", "a.json", "b.json", "c.json", "-o", "p.json", "--report", "p.html"});
  EXPECT_EQ(once.exit_code, 0) << once.err;
  EXPECT_NE(once.out.find("pool of 3 cars"), std::string::npos) << once.out;
  EXPECT_NE(workshop_.read("p.html").find("What it was made from"), std::string::npos);
  EXPECT_NE(once.out.find("\nWrote p.json. Then: pivotfix steer p.json\n"), std::string::npos) << once.out;
  EXPECT_TRUE(has(workshop_.run({"pool", "a.json", "b.json", "-o", "two cars.json", "--units", "in"}),
                  ". Then: pivotfix steer 'two cars.json' --units in\n"));
  EXPECT_EQ(workshop_.run({"pool", "c.json", "a.json", "b.json", "-o", "q.json"}).exit_code, 0);
  EXPECT_EQ(workshop_.read("p.json"), workshop_.read("q.json"));
  EXPECT_EQ(workshop_.run({"pool", "p.json", "--without", "car 3", "-o", "two.json"}).exit_code, 0);
  EXPECT_EQ(workshop_.run({"pool", "b.json", "a.json", "-o", "two-too.json"}).exit_code, 0);
  EXPECT_EQ(workshop_.read("two.json"), workshop_.read("two-too.json"));
  EXPECT_EQ(workshop_.run({"pool", "two.json", "c.json", "-o", "back.json"}).exit_code, 0);
  EXPECT_EQ(workshop_.read("back.json"), workshop_.read("p.json"));
  const Outcome steered = workshop_.run({"steer", "p.json", "--spacer", "0.2 in"});
  EXPECT_EQ(steered.exit_code, 0);
  EXPECT_NE(steered.out.find("Nothing here says that these hardpoints come from photos"), std::string::npos)
      << steered.out;
  EXPECT_EQ(workshop_.run({"pool", "p.json", "--without", "car 9", "-o", "x.json"}).err,
            "pivotfix: No car \"car 9\" is in the pool. There are \"car 1\", \"car 2\", \"car 3\".\n");
  EXPECT_FALSE(workshop_.has("x.json"));
}

// One car with three different stacks in turn: its rod end is lower by the spacers between.
TEST_F(Club, PoolAsksForTheSameStackAsItsCarsWhateverStandsOnThem) {
  const std::string text = workshop_.read("a.json");
  const auto write_car = [&](const std::string& name, const std::string& between, const std::string& z) {
    std::string car = text;
    const auto replace = [&](const std::string& from, const std::string& to) {
      car.replace(car.find(from), from.size(), to);
    };
    replace("{\"thickness\": \"0.120 in\"}", between);
    replace("\"z\": 215", "\"z\": " + z);
    replace("Invented strut corner, typed by hand", name);
    workshop_.write(name + ".json", car);
  };
  write_car("bare", "", "218.048");
  write_car("thin", "{\"thickness\": \"0.060 in\"}", "216.524");
  write_car("thick", "{\"thickness\": \"0.200 in\"}, {\"thickness\": \"0.060 in\"}", "211.444");
  const Outcome pooled = workshop_.run({"pool", "bare.json", "thin.json", "thick.json", "-o", "p.json"});
  ASSERT_EQ(pooled.exit_code, 0) << pooled.err;
  EXPECT_NE(pooled.out.find("do not differ"), std::string::npos) << pooled.out;
  const auto stack_after = [&](const std::string& file) {
    const std::string out =
        workshop_
            .run({"steer", file, "--spacer", "0.120 in", "--spacer", "0.200 in", "--spacer", "0.060 in:2"})
            .out;
    const std::size_t at = out.find("\n  after");
    return at == std::string::npos ? "no stack: " + out : out.substr(at, out.find('\n', at + 1) - at);
  };
  EXPECT_EQ(stack_after("p.json"), stack_after("a.json"));
  EXPECT_EQ(stack_after("p.json"), stack_after("thick.json"));
}

}  // namespace
}  // namespace pivotfix
