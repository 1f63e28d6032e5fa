// SPDX-License-Identifier: Apache-2.0
#include "job/job.h"
#include "sheets/tag_plan.h"

namespace pivotfix {
namespace {

template <typename Numbers>
std::string list(const Numbers& numbers) {
  std::string text;
  for (const int number : numbers) text += (text.empty() ? "" : ", ") + std::to_string(number);
  return "[" + text + "]";
}

// Lengths in the template carry their unit, so they stay true whatever "units" is changed to.
class Template {
 public:
  explicit Template(const NewJob& wish) : wish_(wish) {}

  std::string text() {
    head();
    scale_and_axes();
    hardpoints();
    rest();
    return text_;
  }

 private:
  void line(const std::string& content) { text_ += content + "\n"; }

  void line(std::string content, const std::string& comment) {
    constexpr std::size_t comment_column = 28;
    if (content.size() < comment_column) content.resize(comment_column, ' ');
    line(content + " # " + comment);
  }

  std::string length(double length_mm) const {
    const bool inch = wish_.unit == LengthUnit::inch;
    return "\"" + format_length(length_mm, wish_.unit, inch ? 3 : 1) + "\"";
  }

  void behind(const std::string& name, int tag, const std::string& comment) {
    line("");
    line("[hardpoint." + name + "]");
    line("tag = " + std::to_string(tag), comment);
    line("stand_off = " + length(25.0), "from the tag's printed face back to the pivot's centre: measure it");
  }

  template <typename Numbers>
  void between(const std::string& name, const Numbers& tags, const std::string& comment) {
    line("");
    line("[hardpoint." + name + "]");
    line("pair = " + list(tags), comment);
    line("fraction = 0.5", "0 at the first tag, 1 at the second");
  }

  void head() {
    line("# Job file for pivotfix. Every key is explained in docs/job-file.md.");
    line(
        "# Lengths: a bare number is in \"units\"; or a text with its own unit, \"25.4 mm\" or \"0.200 "
        "in\".");
    line("# The tag numbers are those of the sheets that \"pivotfix print\" makes.");
    line("");
    line("title = \"front " + std::string(name_of(wish_.side)) + "\"");
    line("side = \"" + std::string(name_of(wish_.side)) + "\"", "left | right");
    line("layout = \"" + std::string(name_of(wish_.layout)) + "\"", layout_list(" | "));
    line(std::string("units = \"") + (wish_.unit == LengthUnit::inch ? "in" : "mm") + "\"", "mm | in");
    line("");
    line("[tags]");
    line("side = " + length(wish_.tag_side_mm), "outer edge of the black border, as printed");
    line("");
    line("[[photos]]");
    line("height = \"ride\"", "the car stands at ride height in all photos");
    line("files = [\"photos/*.jpg\"]");
    line("");
  }

  void scale_and_axes() {
    using namespace tag_plan;
    for (const auto& strip : {first_strip, second_strip}) {
      line("[[scale]]");
      line("between = " + list(strip));
      line("length = " + length(strip_centre_distance_mm), "tick to tick: measure it on the printed strip");
      line("sigma = " + length(0.1), "how well you measured it");
      line("");
    }
    line("[axes]");
    line("floor = " + list(floor_tags), "flat on the ground that the tyres stand on");
    line("floor_height = " + length(0.3),
         "of the tags' faces above that ground: thickness of paper or board");
    line("forward = " + list(forward), "from the rear one to the front one: parallel to the car's length");
    line("forward_sigma = 0.2", "degrees, how parallel");
    line("half_track = " + length(745.0), "car's middle to the wheel centre, sideways: measure it");
  }

  void lower_arm() {
    using namespace tag_plan;
    between("lower_arm_front_pivot", lower_arm_front_pivot, "on both ends of the bolt");
    between("lower_arm_rear_pivot", lower_arm_rear_pivot, "on both ends of the bolt");
    behind("lower_ball_joint", lower_ball_joint, "under the joint, in line with its stud");
  }

  void lower_links() {
    using namespace tag_plan;
    between("lower_front_link_inner_joint", lower_arm_front_pivot, "on both ends of the bolt");
    behind("lower_front_link_outer_joint", lower_ball_joint, "under the joint, in line with its stud");
    between("lower_rear_link_inner_joint", lower_arm_rear_pivot, "on both ends of the bolt");
    behind("lower_rear_link_outer_joint", lower_rear_link_outer_joint,
           "under the joint, in line with its stud");
  }

  void strut() {
    using namespace tag_plan;
    behind("strut_top_mount", strut_top_mount, "on the top mount, in line with the strut");
    between("strut_axis_low", strut_axis_low, "low on the strut's tube, on opposite sides at one height");
  }

  void upper_arm() {
    using namespace tag_plan;
    between("upper_arm_front_pivot", upper_arm_front_pivot, "on both ends of the bolt");
    between("upper_arm_rear_pivot", upper_arm_rear_pivot, "on both ends of the bolt");
    behind("upper_ball_joint", upper_ball_joint, "over the joint, in line with its stud");
  }

  void upper_links() {
    using namespace tag_plan;
    between("upper_front_link_inner_joint", upper_arm_front_pivot, "on both ends of the bolt");
    behind("upper_front_link_outer_joint", upper_ball_joint, "over the joint, in line with its stud");
    between("upper_rear_link_inner_joint", upper_arm_rear_pivot, "on both ends of the bolt");
    behind("upper_rear_link_outer_joint", upper_rear_link_outer_joint,
           "over the joint, in line with its stud");
  }

  void link_and_wheel() {
    using namespace tag_plan;
    behind("link_inner_joint", link_inner_joint, "in line with the rack, or on the joint");
    behind("link_outer_joint", link_outer_joint, "on the rod end, in line with its stud");
    behind("wheel_centre", wheel_centre, "on the hub, in line with the axle");
  }

  void hardpoints() {
    line("");
    line("# Hardpoints: one table each. Other ways to say where a pivot is:");
    line("#   tag = 14 and offset = [x, y, z]   in the tag's axes: to the right, up, out of the paper");
    line("#   at = [x, y, z] and sigma          by tape, in vehicle axes: forward, left, up");
    has_lower_links(wish_.layout) ? lower_links() : lower_arm();
    if (has_strut(wish_.layout))
      strut();
    else
      has_upper_links(wish_.layout) ? upper_links() : upper_arm();
    link_and_wheel();
  }

  void rest() {
    line("");
    line("[wheel]", "as it stands now");
    line("toe = \"0 deg\"", "toe-in positive");
    line("camber = \"-1 deg\"", "top outwards positive");
    line("rim_diameter = " + length(16 * mm_per_inch), "for toe in millimetres at the rim");
    line("");
    line("[steering]");
    line("inner_joint_travel = [0, 1, 0]", "direction when steering: forward, left, up");
    line("");
    line("[rod_end]");
    line("mounted = \"below-arm\"", "below-arm | above-arm");
    line("stud_axis = [0, 0, 1]", "forward, left, up");
    line("between_now = []", "spacers between steering arm and rod end now: [\"0.120 in\"]");
    line("# other_side_now = []", "spacers on its other side now; else all that are not between");
    line("spacers = [", "every spacer that you have, those on the car included");
    line("  # { thickness = \"0.200 in\", count = 1 },");
    line("  # { thickness = \"0.060 in\", count = 2 },");
    line("]");
    line("");
    line("[travel]", "of the wheel, over which the toe curve shall be flat");
    line("bump = " + length(40.0), "or driving = \"street\" | \"track\" | \"standing-start\" | \"one-inch\"");
    line("droop = " + length(40.0));
    line("");
    line("# Toe read on an alignment rack, two heights of the wheel or more:");
    line("# [[readings]]");
    line("# travel = \"1 in\"");
    line("# toe = \"-0.10 deg\"");
    line("# sigma = \"0.03 deg\"");
  }

  NewJob wish_;
  std::string text_{};
};

}  // namespace

std::string new_job_text(const NewJob& wish) {
  return Template(wish).text();
}

}  // namespace pivotfix
