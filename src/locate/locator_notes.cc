// SPDX-License-Identifier: Apache-2.0
// What the user is told of how hardpoints were located, and what is refused.
#include <array>
#include <cmath>

#include "base/chance.h"
#include "base/length_words.h"
#include "base/problem.h"
#include "base/units.h"
#include "locate/locator.h"

namespace pivotfix {

namespace {

// What is left open wider than this is named to the user.
constexpr double open_sigma_mm = 0.5;

}  // namespace

void Locator::note_bodies(const RigidNetwork& rigid) {
  for (const BodyFit& fit : rigid.fits) {
    if (!fit.doubtful) continue;
    const std::string tag = "tag " + std::to_string(fit.worst_tag);
    located_.notes.push_back(
        "The tags of the " + fit.name + " do not keep their places to each other; " + tag +
        " fits worst. Is one loose, or partly covered in some photos, or did the part bend? " +
        (fit.slipped_tag >= 0
             ? "Without it the others do, so its motion rests on them alone."
             : "Each of them counts as " + length_words(fit.slack_mm, 2) + " less certain."));
  }
}

// Two statements of one place, by the last rows. Which of them is wrong does not show, so each may be off by
// what chance does not explain: the place comes to lie between them. Widens the hardpoint's own place and
// returns by how much; the caller does as much to what contradicts it.
double Locator::note_disagreement(std::size_t index, const std::string& what, std::size_t rows) {
  const Conditions conditions = rows_.last(rows);
  const ConditionedInputs held = hold(conditions, covariance_);
  if (normal_deviate(held.chi_square, held.freedom) <= doubtful_deviate) return 0.0;
  const double apart_mm = beyond_chance(conditions, covariance_);
  located_.notes.push_back(
      question_.hardpoints[index].name + ": " + what + " disagree by " + length_words(apart_mm, 2) +
      ", more than both allow. It is put between them, and its uncertainty is that much wider: check the "
      "stand-off.");
  widen(place_inputs(index), apart_mm);
  return apart_mm;
}

void Locator::note_scatter(const HardpointRecipe& recipe, const Eigen::Matrix3d& scatter_mm2) {
  const double sigma_mm = weakest_in(scatter_mm2).sigma_mm;
  if (sigma_mm <= open_sigma_mm) return;
  const bool ring = std::holds_alternative<TagRing>(recipe.way);
  const bool touches = std::holds_alternative<Touches>(recipe.way);
  located_.notes.push_back(recipe.name + ": " +
                           (ring      ? "the tags of its ring do not lie on one circle"
                            : touches ? "its touches do not agree, or the tip did not stay in the dent"
                                      : "the tags along its tube do not lie on one line") +
                           "; that leaves it open by " + length_words(sigma_mm, 1) + ". " +
                           (touches ? "Touch it once more, with the tip held down."
                                    : "Stick the odd one on anew, and check their numbers."));
}

// Directions that motion leaves open and nothing else tells.
void Locator::note_open_directions(const HardpointSet& set) {
  for (std::size_t i = 0; i < set.points.size(); ++i) {
    if (!motion_[i] || motion_[i]->direction) continue;
    const WeakDirection weak = weakest_in(motion_spread_vehicle(i, 0.0) + open_vehicle(i, 0.0));
    if (weak.sigma_mm <= open_sigma_mm) continue;
    const Eigen::Vector3d along = weak.direction;
    const auto at = 3 * static_cast<Eigen::Index>(i);
    const double variance = along.dot(set.covariance_mm2.block<3, 3>(at, at) * along);
    if (variance <= open_sigma_mm * open_sigma_mm) continue;
    Eigen::Index axis = 0;
    along.cwiseAbs().maxCoeff(&axis);
    constexpr std::array<const char*, 3> in_words{"lengthwise", "sideways", "up and down"};
    located_.notes.push_back(set.points[i].name + ": the motion leaves it open by " +
                             length_words(std::sqrt(variance), 1) + ", mostly " +
                             in_words[static_cast<std::size_t>(axis)] + ". " + motion_[i]->remedy);
  }
}

// A pivot that hangs on one tag is as good as that tag: two photos can be wrong together, and rays that run
// side by side say little about depth.
void Locator::note_unchecked_tags() {
  constexpr int least_photos = 3;
  constexpr double least_angle_rad = 15.0 * rad_per_deg;
  for (const HardpointRecipe& recipe : question_.hardpoints) {
    const auto* way = std::get_if<TagOffset>(&recipe.way);
    if (way == nullptr) continue;
    const int at = network_.index_of(way->tag, question_.reference_height);
    if (at < 0) continue;
    const TagInSpace& tag = network_.network().tags[static_cast<std::size_t>(at)];
    const std::string name = recipe.name + " rests on tag " + std::to_string(tag.number);
    if (tag.photos == 0) continue;  // placed by the other tags of its part
    if (tag.photos < least_photos)
      located_.notes.push_back(name + ", and only " + std::to_string(tag.photos) +
                               " photos show that: nothing checks it. Take two more of it.");
    else if (tag.widest_angle_rad < least_angle_rad)
      located_.notes.push_back(name + ", seen from within " +
                               format_fixed(deg_from_rad(tag.widest_angle_rad), 0) +
                               " degrees only: go further round it.");
  }
}

// A tag sticks on a bolt's head, a cap or a clamp, never in the joint: a stand-off that was forgotten, or
// typed in another unit. A rim's middle may lie in the hub's face.
void Locator::note_shallow_tags() {
  constexpr double shallowest_mm = 8.0;
  for (const HardpointRecipe& recipe : question_.hardpoints) {
    const auto* way = std::get_if<TagOffset>(&recipe.way);
    if (way == nullptr || recipe.name == "wheel_centre" || way->offset_tag_mm.norm() >= shallowest_mm)
      continue;
    located_.notes.push_back(recipe.name + " is given as only " + length_words(way->offset_tag_mm.norm(), 1) +
                             " from the face of tag " + std::to_string(way->tag) +
                             ": is the stand-off there, and its unit right?");
  }
}

// What was measured by hand was so from the car's middle, and stays where it is.
std::string Locator::half_track_error_words() const {
  bool some_by_hand = false;
  for (std::size_t i = 0; i < question_.hardpoints.size(); ++i) some_by_hand = some_by_hand || by_hand(i);
  if (!some_by_hand)
    return "An error of it shifts all pivots sideways together and changes neither angles, toe nor spacers";
  return "An error of it shifts all pivots but those measured by hand sideways together; those then stand "
         "wrong against the others by as much, and angles, toe and spacers with them";
}

// A forward line the wrong way round or the wrong side of the car puts the wheel inboard of the rack.
void Locator::check_sides(const HardpointSet& set) const {
  const double sign = question_.side == Side::left ? 1.0 : -1.0;
  const double outboard_mm =
      sign * (set.position_vehicle_mm("wheel_centre") - set.position_vehicle_mm("link_inner_joint")).y();
  if (outboard_mm > 0.0) return;
  throw Problem(
      ProblemKind::refused,
      "The wheel comes out " + format_fixed(-outboard_mm, 0) + " mm inboard of the inner link joint.",
      "Check `side`, the order of the two `forward` tags (rear one first), and that link_inner_joint and "
      "wheel_centre have their own tags.");
}

}  // namespace pivotfix
