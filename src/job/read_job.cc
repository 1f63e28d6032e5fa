// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <map>

#include "base/checksum.h"
#include "job/blanks.h"
#include "job/job.h"
#include "job/job_parts.h"
#include "job/toml_reader.h"

namespace pivotfix {
namespace {

LengthUnit read_unit(const TomlTable& top) {
  const auto value = top.find("units");
  if (!value) return LengthUnit::millimetre;
  const std::string name = value->text();
  if (name == "mm") return LengthUnit::millimetre;
  if (name == "in") return LengthUnit::inch;
  value->fail("\"" + name + "\" is no unit for a job.", "Known are \"mm\" and \"in\".");
}

void read_tags(const TomlValue& value, Job& job) {
  const TomlTable table = value.table("tags", "[tags]");
  if (const auto side = table.find("side"))
    job.tag_side_mm = side->length_between_mm(least_tag_side_mm, most_tag_side_mm);
  const auto sizes = table.find("sizes");
  if (!sizes) return;
  for (const TomlTable& size :
       sizes->tables("tags.sizes", "sizes = [{ tags = [60, 61], side = \"60 mm\" }]")) {
    const double side_mm =
        size.require("side", "\"60 mm\"").length_between_mm(least_tag_side_mm, most_tag_side_mm);
    for (const TomlValue& tag : size.require("tags", "[60, 61]").list())
      if (!job.other_sides_mm.emplace(tag.tag(), side_mm).second)
        tag.fail("Tag " + std::to_string(tag.tag()) + " has two sizes.", "Name it once.");
  }
}

// Heights in the order of the job; the first, or "ride", is the one that pivots are given at.
void note_heights(Job& job) {
  HardpointQuestion& question = job.question;
  for (const PhotoSet& set : job.photo_sets) {
    if (std::find(question.heights.begin(), question.heights.end(), set.height) != question.heights.end())
      continue;
    question.heights.push_back(set.height);
    if (set.steered) question.steered_heights.push_back(set.height);
  }
  const bool has_ride =
      std::find(question.heights.begin(), question.heights.end(), "ride") != question.heights.end();
  question.reference_height = has_ride ? "ride" : question.heights.front();
}

// Photos of one height are taken as one place of everything that moves, and those of the reference height as
// the place that all others are compared with.
void check_steered_heights(const Job& job) {
  const auto fail = [](const PhotoSet& set, const std::string& what) {
    throw Problem(ProblemKind::input, what,
                  "Give the steered photos a height of their own, like height = \"steered left\".",
                  set.place);
  };
  std::map<std::string, bool> steered_at;
  for (const PhotoSet& set : job.photo_sets) {
    const bool steered = steered_at.emplace(set.height, set.steered).first->second;
    if (steered != set.steered)
      fail(set, "\"" + set.height + "\" has photos with the wheels steered and photos without.");
    if (set.steered && set.height == job.question.reference_height)
      fail(set, "The pivots are given at \"" + set.height + "\", so the wheels cannot be steered there.");
  }
}

void read_photo_sets(const TomlValue& value, Job& job) {
  for (const TomlTable& table : value.tables("photos", "[[photos]]")) {
    PhotoSet set;
    if (const auto height = table.find("height")) {
      set.height = height->text();
      if (set.height.empty() || set.height.find('/') != std::string::npos)
        height->fail("\"height\" is no name.", "Write it like \"ride\" or \"up 20\".");
    }
    const auto steered = table.find("steered");
    set.steered = steered && steered->yes_or_no();
    set.place = steered ? steered->place() : table.place();
    if (const auto turn = table.find("hub_turn")) {
      if (turn->whole_number() < 0 || turn->whole_number() > 99)
        turn->fail("\"hub_turn\" is " + std::to_string(turn->whole_number()) + ", but may be 0 to 99.",
                   "Count how often the hub was turned since the first photos.");
      set.part = "turn " + std::to_string(turn->whole_number());
    }
    set.patterns = read_patterns(table.require("files", "[\"photos/*.jpg\"]"));
    job.photo_sets.push_back(std::move(set));
  }
  if (job.photo_sets.empty())
    value.fail("\"photos\" names no photo.", "Write [[photos]] and files = [\"photos/*.jpg\"] below it.");
  const bool turned = std::any_of(job.photo_sets.begin(), job.photo_sets.end(),
                                  [](const PhotoSet& set) { return !set.part.empty(); });
  for (PhotoSet& set : job.photo_sets)
    if (turned && set.part.empty()) set.part = "turn 0";
}

void read_scale_bars(const TomlValue& value, Job& job) {
  for (const TomlTable& table : value.tables("scale", "[[scale]]")) {
    const TomlValue between = table.require("between", "[60, 61]");
    const auto [first, second] = between.two_tags();
    for (const ScaleBar& bar : job.scale_bars)
      if (std::minmax(bar.from_tag, bar.to_tag) == std::minmax(first, second))
        between.fail("The distance between tags " + std::to_string(first) + " and " + std::to_string(second) +
                         " is given twice.",
                     "Keep one of the two, or their mean.");
    ScaleBar bar{first, second, table.require("length", "\"200.1 mm\"").length_between_mm(20.0, 10000.0),
                 0.1};
    if (const auto sigma = table.find("sigma")) bar.sigma_mm = sigma->positive_length_mm();
    job.scale_bars.push_back(bar);
    for (const TomlValue& tag : between.list())
      job.tag_uses.push_back({tag.tag(), TagRole::scale_strip, "a scale strip", tag.place()});
  }
}

void read_wheel(const TomlValue& value, Job& job) {
  const TomlTable table = value.table("wheel", "[wheel]");
  if (const auto toe = table.find("toe")) {
    job.wheel.toe_rad = toe->angle_up_to_rad(rad_from_deg(10.0));
    job.wheel.toe_is_known = true;
  }
  if (const auto camber = table.find("camber")) {
    job.wheel.camber_rad = camber->angle_up_to_rad(rad_from_deg(15.0));
    job.wheel.camber_is_known = true;
  }
  if (const auto rim = table.find("rim_diameter"))
    job.wheel.rim_diameter_mm = rim->length_between_mm(100.0, 1000.0);
}

void read_steering(const TomlValue& value, Job& job) {
  const TomlTable table = value.table("steering", "[steering]");
  const auto axis = table.find("inner_joint_travel");
  if (!axis) return;
  job.rack_axis_vehicle = axis->direction();
  if (std::abs(job.rack_axis_vehicle.y()) < 0.5)
    axis->fail("\"inner_joint_travel\" must run across the car, no more than 60 degrees off.",
               "It is x forward, y left, z up; [0, 1, 0] is straight across.");
  if (job.rack_axis_vehicle.y() < 0.0) job.rack_axis_vehicle *= -1.0;
}

// A hardpoint file, a photo or a page in place of a job file has no comma or key to look for.
void refuse_other_kinds(const std::string& text, const std::string& name) {
  const std::size_t first = text.find_first_not_of(" \t\r\n");
  if (first == std::string::npos) return;
  if (text[first] == '{' && text.find("\"pivotfix-hardpoints\"") != std::string::npos)
    throw Problem(ProblemKind::input, "This is a hardpoint file: the pivots are found already.",
                  "Give it to \"pivotfix steer\", or to \"compare\", \"pool\" or \"convert\"; this command "
                  "wants a job file, which ends in .toml.",
                  {name});
  const bool no_text = text.find('\0') != std::string::npos || text.starts_with("%PDF");
  if (text[first] == '{' || text[first] == '<' || no_text)
    throw Problem(ProblemKind::input, "This is no job file.",
                  "Name the one that \"pivotfix new\" wrote; it ends in .toml.", {name});
}

// Every section in its turn, into a job that has its file and blanks.
void read_sections(const toml::table& root, TomlFile& toml_file, Job& job) {
  const TomlTable top(toml_file, root, "", "the job file");
  job.unit = toml_file.unit = read_unit(top);
  if (const auto title = top.find("title")) job.title = title->text();
  const TomlValue side = top.require("side", "\"left\"");
  job.question.side = side.at_place([&] { return side_from_name(side.text()); });
  const TomlValue layout = top.require("layout", "\"strut\"");
  job.question.layout = layout.at_place([&] { return layout_from_name(layout.text()); });

  if (const auto tags = top.find("tags")) read_tags(*tags, job);
  if (const auto lenses = top.find("lenses"))
    for (const TomlValue& lens_file : lenses->list()) {
      job.lens_files.push_back({lens_file.text(), lens_file.place()});
      if (job.lens_files.back().text.empty())
        lens_file.fail("A lens file's name is empty.", "Name the file, or take the entry out.");
    }
  read_photo_sets(top.require_section("photos", "[[photos]] and files = [\"photos/*.jpg\"] below it"), job);
  note_heights(job);
  check_steered_heights(job);
  if (const auto moving = top.find("moving")) read_moving(*moving, job);
  check_parts_of_photos(top.require_section("photos", "[[photos]]"), job);
  if (const auto pointer = top.find("pointer")) read_pointer(*pointer, job);
  if (const auto scale = top.find("scale")) read_scale_bars(*scale, job);
  read_axes(top.require_section("axes", "[axes] with its keys below it"), job);
  read_hardpoints(
      top.require_section("hardpoint", "[hardpoint." + hardpoint_names(job.question.layout).front() + "]"),
      layout.place(), job);
  if (const auto distances = top.find("distance")) read_distances(*distances, job);
  if (const auto ride_height = top.find("ride_height")) read_ride_height(*ride_height, job);
  if (const auto record = top.find("record")) read_record(*record, job);
  check_roles_of_moving_tags(job);
  if (const auto wheel = top.find("wheel")) read_wheel(*wheel, job);
  if (const auto steering = top.find("steering")) read_steering(*steering, job);
  if (const auto rod_end = top.find("rod_end")) read_rod_end(*rod_end, job);
  if (const auto travel = top.find("travel")) read_travel(*travel, job);
  if (const auto readings = top.find("readings")) read_readings(*readings, job);
}

}  // namespace

Job read_job(const std::filesystem::path& file) {
  return job_from_text(
      text_of_file(file, "job file", "Check the path, or make a job file: pivotfix new job.toml"), file);
}

Job job_from_text(const std::string& text, const std::filesystem::path& file) {
  TomlFile toml_file{file.string()};
  refuse_other_kinds(text, toml_file.name);
  toml::table root = parse_toml(text, toml_file.name);
  Job job;
  job.file = file;
  job.checksum = xxh64(text);
  job.blanks = take_blanks(root);
  try {
    read_sections(root, toml_file, job);
  } catch (const Problem& problem) {
    // What stands in for a blank is nothing that anybody wrote.
    for (const Blank& one : job.blanks)
      if (one.line == problem.place().line && one.column == problem.place().column) refuse_blanks(job);
    throw;
  }
  return job;
}

}  // namespace pivotfix
