// SPDX-License-Identifier: Apache-2.0
// The pictures' geometry, read off the page: mirror images, scale, names clear of lines, stacks.
#include "report/pictures.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "advice/made_up_sets.h"
#include "corner/example_corners.h"
#include "made_up_report.h"
#include "page/page_reader.h"
#include "solved_report.h"

namespace pivotfix {
namespace {

double number(const PageElement& element, const std::string& attribute) {
  return std::stod(element.attributes.at(attribute));
}

// Elements of one drawing: those after its <svg> up to the next one.
std::vector<PageElement> drawing(const Page& page, const std::string& id) {
  std::vector<PageElement> inside;
  bool in = false;
  for (const PageElement& element : page.elements) {
    if (element.tag == "svg") {
      const auto found = element.attributes.find("id");
      in = found != element.attributes.end() && found->second == id;
    } else if (in) {
      inside.push_back(element);
    }
  }
  return inside;
}

std::vector<PageElement> joints_in(const Page& page, const std::string& id) {
  std::vector<PageElement> joints;
  for (const PageElement& element : drawing(page, id))
    if (element.tag == "circle" && element.attributes.at("class").starts_with("joint"))
      joints.push_back(element);
  return joints;
}

// What is written beside the parts of one drawing.
std::vector<std::string> names_in(const Page& page, const std::string& id) {
  std::vector<std::string> names;
  for (const PageElement& element : drawing(page, id))
    if (element.tag == "text" && element.attributes.at("class") == "label") names.push_back(element.text);
  return names;
}

// The picture is seen from ahead: the car's left is at the right hand. A right corner is the left one's
// mirror image about the picture's middle, lettering apart.
TEST(FrontViewPicture, RightCornerIsTheMirrorImage) {
  ReportInput left = made_up_strut_report();
  ReportInput right = left;
  right.advice.side = Side::right;
  right.hardpoints = mirrored(left.hardpoints);
  right.rod_end.stud_axis_vehicle.y() *= -1.0;
  const Page left_page = read_page(report_html(left));
  const Page right_page = read_page(report_html(right));
  for (const auto& [id, width] :
       {std::pair{"front-view", 440.0}, {"side-view", 240.0}, {"plan-view", 240.0}}) {
    const auto left_joints = joints_in(left_page, id), right_joints = joints_in(right_page, id);
    ASSERT_GT(left_joints.size(), 2u) << id;
    ASSERT_EQ(left_joints.size(), right_joints.size()) << id;
    for (std::size_t i = 0; i < left_joints.size(); ++i) {
      EXPECT_EQ(left_joints[i].attributes.at("class"), right_joints[i].attributes.at("class")) << id;
      EXPECT_NEAR(number(left_joints[i], "cx") + number(right_joints[i], "cx"), width, 0.11) << id;
      EXPECT_NEAR(number(left_joints[i], "cy"), number(right_joints[i], "cy"), 0.01) << id;
    }
  }
  EXPECT_NE(left_page.text.find("left corner seen from ahead"), std::string::npos);
  EXPECT_NE(left_page.text.find("outboard →"), std::string::npos);
  EXPECT_NE(right_page.text.find("right corner seen from ahead"), std::string::npos);
  EXPECT_NE(right_page.text.find("← outboard"), std::string::npos);
  // The left wheel's rod end is to the right of the inner joint.
  const auto link = left_page.with("line", "now");
  ASSERT_GT(link.size(), 1u);  // a sample in the key, the picture
  const auto drawn = std::find_if(link.begin(), link.end(), [](const PageElement& line) {
    return line.attributes.at("y1") != line.attributes.at("y2");
  });
  ASSERT_NE(drawn, link.end());
  EXPECT_LT(number(*drawn, "x1"), number(*drawn, "x2"));
}

// Two joints for each link, arm and strut, the steering link's inner one, and the wheel centre.
TEST(FrontViewPicture, DrawsTheArmsAndLinksOfEveryLayout) {
  struct Drawn {
    Layout layout;
    std::size_t joints;
    const char* lower;
    const char* upper;
  };
  for (const Drawn& drawn : {Drawn{Layout::strut, 6, "lower arm", "strut"},
                             Drawn{Layout::strut_two_links, 8, "lower links", "strut"},
                             Drawn{Layout::double_wishbone, 6, "lower arm", "upper arm"},
                             Drawn{Layout::double_wishbone_upper_spring, 6, "lower arm", "upper arm"},
                             Drawn{Layout::five_link, 10, "lower links", "upper links"}}) {
    ReportInput input = made_up_strut_report();
    input.hardpoints = example_set(drawn.layout);
    const Page page = read_page(report_html(input));
    EXPECT_EQ(page.with("circle", "joint").size(), drawn.joints) << name_of(drawn.layout);
    const std::vector<std::string> names = names_in(page, "front-view");
    for (const char* part : {drawn.lower, drawn.upper, "steering link"})
      EXPECT_EQ(std::count(names.begin(), names.end(), part), 1) << part << ", " << name_of(drawn.layout);
    EXPECT_NE(page.text.find(words_of(drawn.layout)), std::string::npos) << name_of(drawn.layout);
  }
}

// Letters at least 6 px wide and 8 px high over the base line; looked at in steps of a hundredth of the line.
bool crosses(const PageElement& line, const PageElement& label) {
  const double width = 6.0 * static_cast<double>(label.text.size());
  const std::string& anchor = label.attributes.at("text-anchor");
  const double left = number(label, "x") - (anchor == "end" ? width : anchor == "middle" ? 0.5 * width : 0.0);
  for (int i = 0; i <= 100; ++i) {
    const double x = std::lerp(number(line, "x1"), number(line, "x2"), 0.01 * i);
    const double y = std::lerp(number(line, "y1"), number(line, "y2"), 0.01 * i);
    if (x > left && x < left + width && y < number(label, "y") && y > number(label, "y") - 8.0) return true;
  }
  return false;
}

TEST(Views, HaveNoLineThroughTheNameOfAPart) {
  for (const Layout layout : all_layouts()) {
    ReportInput input = made_up_strut_report();
    input.hardpoints = example_set(layout);
    const Page page = read_page(report_html(input));
    for (const char* id : {"front-view", "side-view", "plan-view"}) {
      const std::vector<PageElement> shapes = drawing(page, id);
      int labels = 0;
      for (const PageElement& label : shapes) {
        if (label.tag != "text" || label.attributes.at("class") != "label") continue;
        ++labels;
        for (const PageElement& line : shapes) {
          if (line.tag != "line" || line.attributes.at("class") == "knuckle") continue;
          EXPECT_FALSE(crosses(line, label)) << label.text << " by " << line.attributes.at("class") << " in "
                                             << id << ", " << name_of(layout);
        }
      }
      EXPECT_GE(labels, 3) << id;
    }
  }
}

// Scale from the 100 mm bar; the link's length in the front view by Pythagoras from the hardpoints.
TEST(FrontViewPicture, IsToScale) {
  const Page page = read_page(report_html(made_up_strut_report()));
  const auto bar = page.with("line", "scale-bar");
  ASSERT_GE(bar.size(), 3u);  // in each unit; the first is 100 mm
  const double per_mm = (number(bar[0], "x2") - number(bar[0], "x1")) / 100.0;
  const auto joints = page.with("circle", "joint");
  ASSERT_EQ(joints.size(), 6u);  // arm, ball joint, strut top, strut low, link's inner joint, wheel centre
  const auto rod_end = page.with("circle", "joint-now");
  ASSERT_GE(rod_end.size(), 1u);
  const double length = std::hypot(number(rod_end[0], "cx") - number(joints[4], "cx"),
                                   number(rod_end[0], "cy") - number(joints[4], "cy"));
  EXPECT_NEAR(length / per_mm, std::hypot(690.36 - 336.18, 262.84 - 243.11), 0.5);
}

// In a drawing's group for one choice of the slider.
std::vector<std::string> words_for_choice(const Page& page, const std::string& id, std::size_t choice) {
  std::vector<std::string> words;
  bool in = false;
  for (const PageElement& element : drawing(page, id)) {
    if (element.tag == "g") {
      const auto found = element.attributes.find("data-choice");
      in = found != element.attributes.end() && found->second == std::to_string(choice);
    } else if (in && element.tag == "text") {
      words.push_back(element.text);
    }
  }
  return words;
}

// The car's link sits 1.5 mm lower inboard than was measured; toe readings tell.
AdviceQuestion question_with_toe_readings() {
  AdviceQuestion question = question_of_a_strut();
  question.hardpoints = with_sigma(question.hardpoints, 0.8);
  Corner truth = make_corner(question.hardpoints);
  truth.points[question.hardpoints.index_of("link_inner_joint")].position_vehicle_mm.z() -= 1.5;
  for (const double travel_mm : {0.0, 25.4, -25.4})
    question.readings.push_back({travel_mm, solved_at(truth, travel_mm).toe_rad, rad_from_deg(0.01), 0.2});
  return question;
}

TEST(AnglePicture, DrawsTheLinkAfterWhereItIsNowWhenNothingMoves) {
  const ReportInput input = solved_report(question_with_toe_readings());
  ASSERT_TRUE(input.advice.verification && input.advice.verification->refined);
  const double now_deg = deg_from_rad(input.advice.effective_mismatch_rad.value);
  ASSERT_GT(
      std::abs(now_deg - deg_from_rad(front_view(make_corner(input.hardpoints)).effective_mismatch_rad)), 0.1)
      << "the readings change the angle";
  const std::vector<std::string> words =
      words_for_choice(read_page(report_html(input)), "angles", input.exploration->now);
  for (const std::string label : {"link now: ", "link after: "}) {
    const auto found = std::find_if(words.begin(), words.end(),
                                    [&](const std::string& one) { return one.starts_with(label); });
    ASSERT_NE(found, words.end()) << label;
    std::string angle = found->substr(label.size());
    if (angle.starts_with("−")) angle.replace(0, std::string("−").size(), "-");
    EXPECT_NEAR(std::stod(angle), now_deg, label == "link after: " ? 0.0051 : 0.051) << *found;
  }
}

TEST(HardpointTable, SaysThatToeReadingsAreNotInIt) {
  const std::string words = "As measured; the answer uses them with the toe readings worked in.";
  AdviceQuestion question = question_with_toe_readings();
  EXPECT_NE(read_page(report_html(solved_report(question))).text.find(words), std::string::npos);
  question.readings.clear();
  EXPECT_EQ(read_page(report_html(solved_report(question))).text.find(words), std::string::npos);
}

TEST(StackPicture, SpacersAreToScaleAndCounted) {
  const Page page = read_page(report_html(made_up_strut_report()));
  const auto spacers = page.with("rect", "part-spacer");
  ASSERT_EQ(spacers.size(), 3u + 7u);  // now and after
  double thick = 0.0;
  double thin = 1e9;
  for (const PageElement& spacer : spacers) {
    thick = std::max(thick, number(spacer, "height"));
    thin = std::min(thin, number(spacer, "height"));
  }
  EXPECT_NEAR(thick / thin, 5.08 / 0.508, 0.2);
  EXPECT_EQ(page.with("rect", "part-other").size(), 1u);
  EXPECT_NE(page.text.find("4 × 0.060 in"), std::string::npos);
}

TEST(StackPicture, HangsBelowTheArmOrStandsOnIt) {
  ReportInput input = made_up_strut_report();
  const auto arm_over_nut = [&] {
    const Page page = read_page(report_html(input));
    return number(page.with("rect", "part-arm").front(), "y") <
           number(page.with("rect", "part-nut").front(), "y");
  };
  EXPECT_TRUE(arm_over_nut());
  input.rod_end.mount = RodEndMount::above_arm;
  EXPECT_FALSE(arm_over_nut());
}

}  // namespace
}  // namespace pivotfix
