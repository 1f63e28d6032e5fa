// SPDX-License-Identifier: Apache-2.0
// Prints, for straight and for bent pictures and for several numbers of photos, how the tags' errors compare
// with their stated uncertainty.
#include <algorithm>
#include <cstdio>

#include "base/problem.h"
#include "network/bent_pictures.h"

namespace {

using namespace pivotfix;
using simulation::Bend;
using simulation::Photographed;

struct Layout {
  int tags;
  double focal_px, wider;  // times as wide along the car
};

Photographed photographed(const Layout& layout, int photos, unsigned seed) {
  simulation::Wishes wishes;
  wishes.photos = photos;
  wishes.seed = seed;
  std::mt19937 random(seed);
  simulation::Truth truth;
  truth.focal_px = layout.focal_px;
  for (int i = 0; i < layout.tags; ++i) {
    truth.world_from_tag.push_back(simulation::random_tag(random, i));
    truth.world_from_tag.back().translation_mm.x() *= layout.wider;
  }
  return photograph(truth, wishes, random);
}

struct Row {
  const char* name;
  Bend bend;
};

void print_row(const Row& row, const std::vector<int>& counts, unsigned seeds) {
  constexpr Layout layouts[] = {{24, 2480, 1.0}, {16, 3000, 0.8}, {36, 2200, 1.4}};
  std::printf("| %s |", row.name);
  for (const int photos : counts) {
    std::vector<double> squares;
    int refused = 0;
    for (const Layout& layout : layouts)
      for (unsigned seed = 1; seed <= seeds; ++seed) try {
          Photographed made = photographed(layout, photos, 100 * seed + static_cast<unsigned>(photos));
          bend(made, row.bend, seed);
          squares.push_back(squares_per_freedom(adjust_network(made.input), made.truth));
        } catch (const Problem&) {
          ++refused;
        }
    std::sort(squares.begin(), squares.end());
    const auto at = [&](double share) {
      return squares[static_cast<std::size_t>(share * static_cast<double>(squares.size() - 1) + 0.5)];
    };
    if (squares.empty())
      std::printf(" - |");
    else
      std::printf(" %.1f (%.1f to %.1f) |", at(0.5), at(0.1), at(0.9));
    if (refused > 0) std::printf(" %d refused", refused);
    std::fflush(stdout);
  }
  std::printf("\n");
}

}  // namespace

int main(int argc, char** argv) {
  const unsigned seeds = argc > 1 ? static_cast<unsigned>(std::stoi(argv[1])) : 5;
  const std::vector<int> counts{4, 5, 6, 8, 10, 14, 20, 40};
  std::printf("| pictures |");
  for (const int photos : counts) std::printf(" %d photos |", photos);
  std::printf("\n");
  for (const Row& row :
       {Row{"straight", {}}, Row{"warped by 0.1 px", {0.1, 0.0}}, Row{"warped by 0.3 px", {0.3, 0.0}},
        Row{"warped by 0.6 px", {0.6, 0.0}}, Row{"swayed by 0.1 px", {0.0, 0.1}},
        Row{"swayed by 0.3 px", {0.0, 0.3}}, Row{"swayed by 1 px", {0.0, 1.0}}})
    print_row(row, counts, seeds);
}
