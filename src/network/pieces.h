// SPDX-License-Identifier: Apache-2.0
// Whether the sightings hold all photos and tags together: two groups that no sighting joins have no place to
// each other, whatever numbers the equations give. Private to the network stage.
#pragma once

#include <string>
#include <vector>

#include "network/network_builder.h"

namespace pivotfix {

// Connected components of photos and tags over the sightings that take part.
struct Pieces {
  std::vector<int> of_station{}, of_target{};  // number of its piece; -1: takes no part
  std::vector<int> sightings{};                // of each piece
};
// `left_out`: as if that photo were not there.
Pieces pieces_of(const Bundle& bundle, int left_out = -1);

// Rejects all sightings outside the piece that has most of them.
void keep_largest_piece(StartedBundle& started);

// What was cut off by `keep_largest_piece` and still is: by index into the bundle.
struct CutOff {
  std::vector<int> stations{}, targets{};
};
CutOff cut_off(const StartedBundle& started);

// "tag 7", "tags 7, 8, 9".
std::string tags_in_words(const std::vector<int>& targets, const StartedBundle& started);

// Photos each of which alone holds two parts together, with the tags of the smaller part.
struct SingleTie {
  int station = 0;
  std::vector<int> targets{};
};
std::vector<SingleTie> single_ties(const Bundle& bundle);

}  // namespace pivotfix
