// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <map>

#include "base/suggestion.h"
#include "job/job_parts.h"

namespace pivotfix {
namespace {

// Callipers or a drill depth: what a stand-off or a fraction is worth when the user does not say.
constexpr double usual_sigma_mm = 0.2;

// Which of the ways the table takes; the others' keys must not be there.
struct WayKeys {
  const char* main;
  std::vector<std::string_view> may_have;
};

const std::vector<WayKeys>& ways() {
  static const std::vector<WayKeys> all = {
      {"tag", {"tag", "stand_off", "offset", "sigma", "centring", "motion"}},
      {"pair", {"pair", "fraction", "sigma", "centring", "motion"}},
      {"ring", {"ring", "stand_off", "sigma", "motion"}},
      {"tube", {"tube", "stand_off", "sigma", "motion"}},
      {"touches", {"touches", "sigma", "motion"}},
      {"at", {"at", "sigma"}},
      {"motion", {"motion", "sigma"}}};
  return all;
}

const WayKeys& way_of(const TomlTable& table) {
  for (const WayKeys& way : ways()) {
    if (!table.find(way.main)) continue;
    for (const TomlValue& value : table.values())
      if (std::find(way.may_have.begin(), way.may_have.end(), value.key()) == way.may_have.end())
        value.fail("\"" + value.key() + "\" does not go with \"" + way.main + "\" in " + table.name() + ".",
                   "Keep one of the two.");
    return way;
  }
  throw Problem(ProblemKind::input, table.name() + " does not say where it is.",
                "Give it tag and stand_off, or tag and offset, or pair, ring, tube, touches, motion or at.",
                table.place());
}

double sigma_or(const TomlTable& table, double usual_mm) {
  const auto sigma = table.find("sigma");
  return sigma ? sigma->sigma_mm() : usual_mm;
}

// How far a tag's middle may be beside what it marks: stuck by eye (common practice).
double centring_of(const TomlTable& table) {
  constexpr double by_eye_mm = 0.5;
  const auto centring = table.find("centring");
  return centring ? centring->sigma_mm() : by_eye_mm;
}

TagOffset read_tag_offset(const TomlTable& table) {
  TagOffset way;
  way.tag = table.require("tag", "14").tag();
  way.sigma_mm = sigma_or(table, usual_sigma_mm);
  const auto offset = table.find("offset");
  const auto stand_off = table.find("stand_off");
  if (offset && stand_off)
    offset->fail("\"offset\" does not go with \"stand_off\" in " + table.name() + ".",
                 "Keep one of the two.");
  if (offset) {
    way.offset_tag_mm = offset->lengths_mm();
    if (const auto centring = table.find("centring"))
      centring->fail("\"centring\" does not go with \"offset\" in " + table.name() + ".",
                     "Sigma says how well each of its three numbers is known.");
    return way;
  }
  const TomlValue distance = table.require("stand_off", "\"26 mm\"");
  if (distance.length_mm() < 0.0)
    distance.fail(
        "\"stand_off\" must not be negative.",
        "It is the depth of the pivot behind the tag's face; for a pivot in front of it use offset.");
  way.offset_tag_mm = {0.0, 0.0, -distance.length_mm()};
  way.centring_sigma_mm = std::max(centring_of(table), table.find("centring") ? 0.0 : way.sigma_mm);
  return way;
}

TagPair read_tag_pair(const TomlTable& table) {
  TagPair way;
  std::tie(way.first_tag, way.second_tag) = table.require("pair", "[10, 11]").two_tags();
  if (const auto fraction = table.find("fraction")) {
    way.fraction = fraction->number();
    if (way.fraction < -1.0 || way.fraction > 2.0)
      fraction->fail("\"fraction\" is " + format_fixed(way.fraction, 2) + ", far outside the pair.",
                     "0 is the first tag, 1 the second, 0.5 half way.");
  }
  way.sigma_mm = std::hypot(sigma_or(table, usual_sigma_mm),
                            centring_of(table) * std::hypot(1.0 - way.fraction, way.fraction));
  return way;
}

std::vector<int> read_tags_of(const TomlTable& table, const char* key, std::size_t least,
                              const char* example) {
  const TomlValue value = table.require(key, example);
  std::vector<int> tags;
  for (const TomlValue& tag : value.list()) tags.push_back(tag.tag());
  if (tags.size() < least)
    value.fail("\"" + std::string(key) + "\" names " + std::to_string(tags.size()) + " tags; " +
                   std::to_string(least) + " are the least.",
               "Stick more tags on that part.");
  return tags;
}

double stand_off_or_zero_mm(const TomlTable& table) {
  const auto stand_off = table.find("stand_off");
  return stand_off ? stand_off->length_mm() : 0.0;
}

bool with_motion(const TomlTable& table) {
  const auto motion = table.find("motion");
  return motion && motion->yes_or_no();
}

ByHand read_by_hand(const TomlTable& table) {
  const TomlValue sigma = table.require("sigma", "\"2 mm\"");
  Eigen::Vector3d sigma_mm =
      sigma.is_list() ? sigma.lengths_mm() : Eigen::Vector3d::Constant(sigma.positive_length_mm());
  if (!(sigma_mm.minCoeff() > 0.0))
    sigma.fail("Each uncertainty in \"sigma\" must be more than zero.",
               "A tape read with care is good to a millimetre or two.");
  return {table.require("at", "[0, 0, 0]").lengths_mm(), sigma_mm};
}

Way read_way(const TomlTable& table) {
  const std::string_view main = way_of(table).main;
  if (main == "tag") return read_tag_offset(table);
  if (main == "pair") return read_tag_pair(table);
  if (main == "ring")
    return TagRing{read_tags_of(table, "ring", 3, "[30, 31, 32]"), stand_off_or_zero_mm(table),
                   sigma_or(table, usual_sigma_mm)};
  if (main == "tube")
    return TagTube{read_tags_of(table, "tube", 2, "[14, 15]"), stand_off_or_zero_mm(table),
                   sigma_or(table, usual_sigma_mm)};
  if (main == "touches") return Touches{{}, sigma_or(table, usual_sigma_mm)};
  if (main == "motion") {
    if (!with_motion(table))
      table.require("motion", "true")
          .fail("\"motion\" is false, and nothing else says where it is.",
                "Write motion = true, or give it a tag.");
    return ByMotion{sigma_or(table, 0.0)};
  }
  return read_by_hand(table);
}

void read_touches(const TomlTable& table, const std::string& name, Job& job) {
  const TomlValue touches = table.require("touches", "[\"pointer/" + name + "*\"]");
  if (job.pointer_photos.empty())
    touches.fail("\"touches\" needs the pointer, and the job has none.",
                 "Add a section [pointer] with its tags and the photos of its tip in a dent.");
  read_positions(touches, name, job);
}

// "lower_arm_front_pivot" -> "lower_arm_pivot": front and rear pivot of one part may share a bolt, and one
// line runs through both points of a strut.
std::string part_of(std::string hardpoint) {
  for (const std::string_view end : {"_front", "_rear"})
    if (const std::size_t at = hardpoint.find(end); at != std::string::npos) hardpoint.erase(at, end.size());
  return hardpoint.starts_with("strut_") ? "strut" : hardpoint;
}

// What a tag marks: the pivot behind it, or one that it helps to find.
struct Mark {
  std::string hardpoint{};
  std::string key{};  // "stand_off", "pair", "ring", "tube"
  Way way{};
};

bool same_tags(const TagPair& a, const TagPair& b) {
  return std::minmax(a.first_tag, a.second_tag) == std::minmax(b.first_tag, b.second_tag);
}

// Whether one tag can have both marks.
bool go_together(const Mark& a, const Mark& b) {
  constexpr double least_along_bolt_mm = 50.0;  // between two pivots of one part
  if (a.key == "pair" && b.key == "pair")
    return same_tags(std::get<TagPair>(a.way), std::get<TagPair>(b.way));
  if (part_of(a.hardpoint) != part_of(b.hardpoint)) return false;
  if (a.key != "stand_off" || b.key != "stand_off") return true;
  return (std::get<TagOffset>(a.way).offset_tag_mm - std::get<TagOffset>(b.way).offset_tag_mm).norm() >=
         least_along_bolt_mm;
}

// Refuses tags whose roles contradict each other; remembers which hardpoint is found by which tag.
class TagRoles {
 public:
  explicit TagRoles(const AxesRecipe& axes) : axes_(axes) {}

  void check(const TomlValue& tag, const std::string& hardpoint) const {
    if (std::count(axes_.floor_tags.begin(), axes_.floor_tags.end(), tag.tag()) > 0)
      tag.fail(
          "Tag " + std::to_string(tag.tag()) + " lies on the floor, so it cannot mark " + hardpoint + ".",
          "Name another tag here or in \"floor\".");
  }

  void mark(const TomlValue& tag, const Mark& mark) {
    for (auto [at, end] = marks_.equal_range(tag.tag()); at != end; ++at) {
      const Mark& other = at->second;
      if (other.hardpoint == mark.hardpoint || go_together(other, mark)) continue;
      const bool behind = other.key == "stand_off" && mark.key == "stand_off";
      tag.fail("Tag " + std::to_string(tag.tag()) + " already marks " + other.hardpoint +
                   (other.key == "stand_off" ? "." : " (" + other.key + ")."),
               behind ? "A tag has one pivot behind it; for a second one beside it use offset."
                      : "Correct the number here or there; for a second pivot beside a tag use offset.");
    }
    marks_.emplace(tag.tag(), mark);
  }

  void pair(const TomlValue& pair, const TagPair& way, const std::string& hardpoint) {
    for (const auto& [name, other] : pairs_) {
      const bool same = other.first_tag == way.first_tag && other.fraction == way.fraction;
      const bool turned = other.first_tag == way.second_tag && other.fraction == 1.0 - way.fraction;
      if (same_tags(other, way) && (same || turned))
        pair.fail("These tags and this fraction already mark " + name + ".",
                  "Two hardpoints cannot be one point.");
    }
    pairs_.emplace_back(hardpoint, way);
  }

 private:
  const AxesRecipe& axes_;
  std::multimap<int, Mark> marks_{};
  std::vector<std::pair<std::string, TagPair>> pairs_{};
};

void note_tags(const TomlTable& table, const Way& way, const std::string& name, TagRoles& roles, Job& job) {
  const auto note = [&](const TomlValue& tag, const std::string& key) {
    roles.check(tag, name);
    if (key != "offset") roles.mark(tag, {name, key, way});
    job.tag_uses.push_back({tag.tag(), TagRole::other, name, tag.place()});
  };
  if (std::holds_alternative<TagOffset>(way))
    note(table.require("tag", "14"), table.find("offset") ? "offset" : "stand_off");
  for (const char* key : {"pair", "ring", "tube"})
    if (const auto value = table.find(key))
      for (const TomlValue& tag : value->list()) note(tag, key);
  if (const auto* pair = std::get_if<TagPair>(&way))
    roles.pair(table.require("pair", "[10, 11]"), *pair, name);
}

[[noreturn]] void fail_unknown_hardpoint(const TomlTable& all, const std::string& name, Layout layout) {
  const std::string layout_name(name_of(layout));
  for (const Layout other : all_layouts()) {
    const std::vector<std::string>& others = hardpoint_names(other);
    if (std::find(others.begin(), others.end(), name) == others.end()) continue;
    throw Problem(ProblemKind::input,
                  "\"" + name + "\" belongs to the " + std::string(name_of(other)) +
                      " layout, but layout is \"" + layout_name + "\".",
                  "Take it out or change the layout.", all.place_of_key(name));
  }
  throw Problem(ProblemKind::input, "\"" + name + "\" is no hardpoint of the " + layout_name + " layout.",
                suggestion(name, hardpoint_names(layout)), all.place_of_key(name));
}

}  // namespace

void read_hardpoints(const TomlValue& value, const Place& layout_place, Job& job) {
  const Layout layout = job.question.layout;
  const std::vector<std::string>& names = hardpoint_names(layout);
  const TomlTable all = value.table(any_keys, "[hardpoint]");
  TagRoles roles(job.question.axes);
  std::map<std::string, HardpointRecipe> found;
  for (const TomlValue& one : all.values()) {
    const std::string& name = one.key();
    if (std::find(names.begin(), names.end(), name) == names.end()) fail_unknown_hardpoint(all, name, layout);
    const TomlTable table = one.table("hardpoint.NAME", "[hardpoint." + name + "]");
    const Way way = read_way(table);
    note_tags(table, way, name, roles, job);
    if (std::holds_alternative<Touches>(way)) read_touches(table, name, job);
    found[name] = {name, way, with_motion(table) && !std::holds_alternative<ByMotion>(way)};
  }
  std::string missing;
  for (const std::string& name : names) {
    const auto recipe = found.find(name);
    if (recipe != found.end())
      job.question.hardpoints.push_back(recipe->second);
    else
      missing += (missing.empty() ? "" : ", ") + name;
  }
  if (!missing.empty())
    throw Problem(ProblemKind::input,
                  "The " + std::string(name_of(layout)) + " layout also needs " + missing + ".",
                  "Add a [hardpoint.NAME] table for each.", layout_place);
}

}  // namespace pivotfix
