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
    wish_.heights ? sets_at_heights() : one_set();
    scale_and_axes();
    wish_.heights ? hardpoints_by_motion() : hardpoints();
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

  // To all digits that were typed; inches may have their mark, which TOML has for the text's end.
  std::string tag_side() const {
    if (wish_.tag_side.empty()) return length(tag_plan::side_mm);
    std::string text = "\"";
    for (const char c : wish_.tag_side) text += c == '"' ? std::string("\\\"") : std::string(1, c);
    return text + "\"";
  }

  // Nothing is measured yet: a likely number here would be believed.
  static std::string measured(const std::string& key) { return key + " = \"?\""; }

  void behind(const std::string& name, int tag, const std::string& comment) {
    line("");
    line("[hardpoint." + name + "]");
    line("tag = " + std::to_string(tag), comment);
    line(measured("stand_off"), "from the tag's printed face back to the pivot's centre");
    line("sigma = " + length(0.2), "how well you know that; a joint you cannot see into: 1 mm or more");
    line("centring = " + length(0.5), "how far the tag's middle may be beside the pivot's");
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
    line("# \"?\" stands for what only you can measure: write the number in its place.");
    line(
        "# Lengths: a bare number is in \"units\"; or a text with its own unit, \"25.4 mm\" or \"0.200 "
        "in\".");
    line("# The tag numbers are those of the sheets that \"pivotfix print" +
         std::string(wish_.heights ? " --heights" : "") + "\" makes.");
    line("");
    line("title = \"front " + std::string(name_of(wish_.side)) + "\"");
    line("side = \"" + std::string(name_of(wish_.side)) + "\"", "left | right");
    line("layout = \"" + std::string(name_of(wish_.layout)) + "\"", layout_list(" | "));
    line(std::string("units = \"") + (wish_.unit == LengthUnit::inch ? "in" : "mm") + "\"", "mm | in");
    line("");
    line("[tags]");
    line("side = " + tag_side(), "outer edge of the black border, as printed");
    line("");
  }

  void one_set() {
    line("[[photos]]");
    line("height = \"ride\"", "the car stands at ride height in all photos");
    line("files = [\"photos\"]", "every photo in that folder, as the phone saved it");
    line("");
  }

  void set(const std::string& height, const std::string& more = "", const std::string& comment = "") {
    line("[[photos]]");
    line("height = \"" + height + "\"");
    if (!more.empty()) line(more, comment);
    line("files = [\"photos/" + height + "\"]", "a folder");
  }

  void hub_turned(int turn) {
    line("[[photos]]");
    line("height = \"ride\"");
    line("hub_turn = " + std::to_string(turn), "four photos: the hub turned on by a third");
    line("files = [\"photos/ride, hub turn " + std::to_string(turn) + "\"]");
  }

  // The first set is the one that the pivots are given at.
  void sets_at_heights() {
    line("# Twelve photos at each height; heights to a few millimetres. docs/guide-under-the-car.md");
    set("ride");
    hub_turned(1);
    hub_turned(2);
    for (const char* height : {"up 20", "up 40", "down 20", "down 40"}) set(height);
    for (const char* height : {"steered left", "steered right"})
      set(height, "steered = true", "the road wheels, by 15 degrees or more");
    line("");
  }

  template <typename Numbers>
  void part(const std::string& name, const Numbers& tags, const std::string& comment) {
    line(name + " = " + list(tags), comment);
  }

  void moving() {
    using namespace tag_plan;
    line("");
    line("[moving]", "tags spread over the parts that move, far apart, on stiff metal");
    if (has_strut(wish_.layout)) {
      std::vector<int> knuckle(on_knuckle.begin(), on_knuckle.end());
      knuckle.insert(knuckle.end(), on_strut_tube.begin(), on_strut_tube.end());
      part("knuckle", knuckle, "the last three on the strut's tube");
    } else {
      part("knuckle", on_knuckle, "upper and lower");
    }
    if (has_lower_links(wish_.layout)) {
      part("lower_front_link", on_lower_front_link, "on stiff flags, not all in one line");
      part("lower_rear_link", on_lower_rear_link, "likewise");
    } else {
      part("lower_arm", on_lower_arm, "near the bushings and near the ball joint");
    }
    if (has_upper_links(wish_.layout)) {
      part("upper_front_link", on_upper_front_link, "likewise");
      part("upper_rear_link", on_upper_rear_link, "likewise");
    } else if (!has_strut(wish_.layout)) {
      part("upper_arm", on_upper_arm, "on both legs");
    }
    part("link", on_link, "the steering link: on stiff flags, not all in one line");
    part("hub", on_hub, "round its face: toe and camber at each height");
  }

  void hardpoints_by_motion() {
    using namespace tag_plan;
    moving();
    line("");
    line("# Hardpoints: where the parts turn about each other. Beside \"motion\" a way with tags may stand:");
    line("#   tag = 14, stand_off = " + length(25.0) + ", sigma = " + length(0.5) + ", motion = true");
    line("# Other ways: pair, ring, tube, touches (with the pointer, \"pivotfix print --pointer\"), at.");
    line("[hardpoint]");
    for (const std::string& name : hardpoint_names(wish_.layout)) {
      if (name == "strut_axis_low")
        line(name + " = { tube = " + list(on_strut_tube) + ", " + measured("stand_off") + " }",
             "from the tube's axis to the tags' faces");
      else if (name == "wheel_centre")
        line(name + " = { ring = " + list(on_hub) + ", " + measured("stand_off") + " }",
             "from the tags' faces in to the wheel's middle");
      else
        line(name + " = { motion = true }");
    }
    line("");
    line("# Toe at each height from the hub's tags, beside what the hardpoints say of it.");
    line("[[readings]]");
    line("from_photos = true");
    line("");
    line(
        "# The distance from wheel centre to body with the car on its wheels, by tape, if the wheel came "
        "off:");
    line("# [ride_height]");
    line("# tag = " + std::to_string(spare[0]) + "            # on the body straight above the hub");
    line("# distance = \"?\"", "by tape, from the middle of the wheel's cap");
    line("# stand_off = \"?\"", "how far the cap lies outside the wheel's middle, some 75 mm");
    line("# sigma = " + length(1.0));
  }

  void scale_and_axes() {
    using namespace tag_plan;
    for (const auto& strip : {first_strip, second_strip}) {
      line("[[scale]]");
      line("between = " + list(strip));
      line(measured("length"),
           "tick to tick, measured on the printed strip: near " +
               format_length(strip_centre_distance_mm, wish_.unit, wish_.unit == LengthUnit::inch ? 2 : 0));
      line("sigma = " + length(0.1), "how well you measured it");
      line("");
    }
    line("[axes]");
    line("floor = " + list(floor_tags), "flat on the ground that the tyres stand on");
    line(measured("floor_height"), "the card's thickness; with the car on stands less how far it");
    line("", "is lifted above standing on its tyres: 250 mm on 2 mm card is \"-248 mm\"");
    line(measured("nose_up"), "degrees that the body sits more nose up than on its tyres: a level on the");
    line("", "sill, now and then. On its tyres, or both ends lifted alike: 0");
    line("forward = " + list(forward), "from the rear one to the front one: parallel to the car's length");
    line("forward_sigma = 0.2", "degrees, how parallel");
    line(measured("half_track"), "car's middle to the wheel centre, sideways");
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
    line("# toe = \"0.10 deg\"",
         "this wheel alone (half the total), toe-in positive, before the work; left out: not read");
    line("# camber = \"-1.2 deg\"",
         "top outwards positive; left out: as the hub's tags show it, else 0 +- 1.5 deg");
    line("rim_diameter = " + length(16 * mm_per_inch), "for toe in millimetres at the rim");
    line("");
    line("[steering]");
    line("inner_joint_travel = [0, 1, 0]", "direction when steering: forward, left, up");
    line("");
    line("[rod_end]");
    line("mounted = \"below-arm\"", "below-arm | above-arm");
    line("stud_axis = [0, 0, 1]", "which way the stud leans: forward, left, up; 1 degree is 0.017");
    line("between_now = [\"?\"]",
         "spacers between steering arm and rod end now: [\"0.120 in\"]; [] for none");
    line("other_side_now = [\"?\"]", "spacers on the rod end's other side now; those in the box stay out");
    line("spacers = [", "every spacer that you have, on the car and in the box");
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
    line("# toe = \"-0.10 deg\"", "this wheel alone (half the total)");
    line("# sigma = \"0.03 deg\"");
    line("");
    line("# To compare with a later measurement, or to pool several cars:");
    line("# [record]");
    line("# car = \"club car 3\"");
    line("# who = \"A. Person\"");
    line("# body_tags = [30, 31, 32]  # on the body, and they stay stuck there");
  }

  NewJob wish_;
  std::string text_{};
};

}  // namespace

std::string new_job_text(const NewJob& wish) {
  return Template(wish).text();
}

}  // namespace pivotfix
