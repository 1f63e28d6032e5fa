// SPDX-License-Identifier: Apache-2.0
// Rod ends of cars with different spacers, made comparable. Private to the pool stage and its tests.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "hardpoints/hardpoint_set.h"

namespace pivotfix {

struct BareRodEnds {
  // Mount and stud axis of most cars; their high-misalignment spacers, where all of these cars have the same.
  // Nothing where no car says what stands between.
  std::optional<RodEnd> rod_end{};
  std::vector<bool> no_say{};  // cars whose rod end's place along the stud tells nothing
  bool moved = false;          // spacers stood between on some car
  std::vector<std::string> notes{};
};

// Moves each car's rod end along its stud to where it stands without spacers between it and the steering arm,
// with an error of the spacers' thickness taken for none. High-misalignment spacers stay where all cars have
// the same, since they belong to the rod end. A car without `rod_end` has no say along the stud, nor one
// whose rod end sits on the other side of its arm than most: what lies in between there is not known. When no
// car says what stands between, all stay as they are. `labels` name the cars for people, `said` whether each
// car's own file has a rod end; all of one side.
BareRodEnds bring_to_bare_contact(const std::vector<std::string>& labels, const std::vector<bool>& said,
                                  std::vector<HardpointSet>& sets);

}  // namespace pivotfix
