// SPDX-License-Identifier: Apache-2.0
#include "pool/bare_contact.h"

#include <algorithm>
#include <cmath>

#include "advice/stack.h"

namespace pivotfix {
namespace {

constexpr double same_mm = 1e-3;

bool has_necks(const RodEnd& rod_end) {
  return rod_end.high_misalignment && rod_end.high_misalignment->on_car;
}

bool same_necks(const RodEnd& one, const RodEnd& other) {
  if (!has_necks(one) || !has_necks(other)) return false;
  return std::abs(one.high_misalignment->thickness_mm - other.high_misalignment->thickness_mm) < same_mm &&
         std::abs(one.high_misalignment->diameter_mm - other.high_misalignment->diameter_mm) < same_mm;
}

// Of the cars that say it; below the arm when as many say one as the other.
RodEndMount mount_of_most(const std::vector<bool>& said, const std::vector<HardpointSet>& sets) {
  int above = 0;
  for (std::size_t i = 0; i < sets.size(); ++i)
    if (said[i]) above += sets[i].rod_end->mount == RodEndMount::above_arm ? 1 : -1;
  return above > 0 ? RodEndMount::above_arm : RodEndMount::below_arm;
}

// Off come the spacers between, and the necks where they do not stay.
double taken_off_mm(const RodEnd& rod_end, bool necks_stay) {
  const bool neck_off = has_necks(rod_end) && !necks_stay;
  return total_thickness_mm(rod_end.between_now) + (neck_off ? rod_end.high_misalignment->thickness_mm : 0.0);
}

std::string list_of(const std::vector<std::string>& labels, const std::vector<bool>& which) {
  std::string list;
  for (std::size_t i = 0; i < labels.size(); ++i)
    if (which[i]) list += (list.empty() ? "" : ", ") + labels[i];
  return list;
}

bool any(const std::vector<bool>& which) {
  return std::find(which.begin(), which.end(), true) != which.end();
}

// Those with the mount that counts have a say.
RodEnd common_rod_end(RodEndMount mount, const std::vector<bool>& no_say,
                      const std::vector<HardpointSet>& sets) {
  RodEnd common;
  common.mount = mount;
  Eigen::Vector3d axis = Eigen::Vector3d::Zero();
  const RodEnd* first = nullptr;
  bool all_alike = true;
  for (std::size_t i = 0; i < sets.size(); ++i) {
    if (no_say[i]) continue;
    if (first == nullptr) first = &*sets[i].rod_end;
    axis += sets[i].rod_end->stud_axis_vehicle;
    all_alike = all_alike && same_necks(*first, *sets[i].rod_end);
  }
  common.stud_axis_vehicle = axis.normalized();
  if (first != nullptr && all_alike) common.high_misalignment = first->high_misalignment;
  return common;
}

void add_notes(const std::vector<std::string>& labels, const std::vector<bool>& unsaid,
               const std::vector<bool>& otherwise, BareRodEnds& result) {
  const bool necks_stay = result.rod_end->high_misalignment.has_value();
  if (result.moved)
    result.notes.push_back(
        std::string("The rod end stands as without any ") +
        (necks_stay ? "but its high-misalignment spacers" : "spacer") +
        " between it and the steering arm. \"steer\" counts from there: do not give it --between.");
  if (any(unsaid))
    result.notes.push_back("What stands between steering arm and rod end is not known of " +
                           list_of(labels, unsaid) +
                           ". Along the stud it has no say; say it as rod_end in its file.");
  if (any(otherwise))
    result.notes.push_back(std::string("The rod end sits ") +
                           (result.rod_end->mount == RodEndMount::below_arm ? "above" : "below") +
                           " the steering arm, other than on most cars: " + list_of(labels, otherwise) +
                           ". Along the stud it has no say.");
}

}  // namespace

BareRodEnds bring_to_bare_contact(const std::vector<std::string>& labels, const std::vector<bool>& said,
                                  std::vector<HardpointSet>& sets) {
  BareRodEnds result;
  result.no_say.assign(sets.size(), false);
  if (!any(said)) {
    result.notes.push_back(
        "No car says what stands between steering arm and rod end: the rod end was pooled as it stands. "
        "Where "
        "the cars have different spacers, it differs by them.");
    return result;
  }
  const RodEndMount mount = mount_of_most(said, sets);
  std::vector<bool> unsaid = said, otherwise(sets.size(), false);
  unsaid.flip();
  for (std::size_t i = 0; i < sets.size(); ++i) {
    otherwise[i] = said[i] && sets[i].rod_end->mount != mount;
    result.no_say[i] = unsaid[i] || otherwise[i];
  }
  result.rod_end = common_rod_end(mount, result.no_say, sets);
  const bool necks_stay = result.rod_end->high_misalignment.has_value();
  const double up_per_spacer_off = mount == RodEndMount::below_arm ? 1.0 : -1.0;
  for (std::size_t i = 0; i < sets.size(); ++i) {
    if (result.no_say[i]) continue;
    const double off_mm = taken_off_mm(*sets[i].rod_end, necks_stay);
    result.moved = result.moved || off_mm > 0.0;
    sets[i].points[sets[i].index_of("link_outer_joint")].position_vehicle_mm +=
        up_per_spacer_off * off_mm * sets[i].rod_end->stud_axis_vehicle;
  }
  add_notes(labels, unsaid, otherwise, result);
  return result;
}

}  // namespace pivotfix
