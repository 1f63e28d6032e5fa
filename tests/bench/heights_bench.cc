// SPDX-License-Identifier: Apache-2.0
// Prints the table of joints that no tag can sit on (docs/accuracy.md): a strut corner and a double-wishbone
// corner photographed at five heights, with and without two more sets with the steering turned, and a pointer
// in its dent. `heights_bench [FOLDER]` keeps the photographs in FOLDER (heights-photos unless told) and
// takes them from there the next time. Ends with 1 when a bar is missed where the steering was turned, or
// anything was not measured: with the steering straight throughout, ball joints cannot meet theirs.
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <string>

#include "bench/heights_photos.h"
#include "bench/pointer_rows.h"
#include "locate/heights_errors.h"

namespace {

using namespace pivotfix;

bool all_good = true;

void print(const std::string& heading, const std::vector<HeightsError>& errors, bool must_meet_bars) {
  all_good = all_good && !errors.empty();
  std::printf("\n## %s\n\n| quantity | reached | at most | | normalised square |\n|---|---|---|---|---|\n",
              heading.c_str());
  double squares = 0.0;
  int freedom = 0;
  for (const HeightsError& error : errors) {
    squares += error.squares;
    freedom += error.freedom;
    const bool good = must_meet_bars ? error.error <= error.bar : std::isfinite(error.error);
    all_good = all_good && good;
    std::printf("| %s | %.4f | %.2f | %s | %.2f |%s\n", error.quantity.c_str(), error.error, error.bar,
                error.unit.c_str(), error.freedom > 0 ? error.squares / error.freedom : 0.0,
                good ? "" : " MISSED");
  }
  std::printf("| all, mean normalised square | %.2f | | | |\n", squares / freedom);
  std::fflush(stdout);
}

void print_notes(const Located& located) {
  for (const std::string& note : located.notes) std::printf("  %s\n", note.c_str());
}

// The steered sets come last, so that the pictures are the same with and without them.
void report(Layout layout, const std::filesystem::path& folder) {
  const std::string name(name_of(layout));
  for (const bool steered : {false, true}) {
    HeightsScene scene = heights_scene({layout, steered});
    bench::photograph(scene, name + "-", folder);
    const Network network = adjust_network(scene.input);
    std::printf("\n%zu photos, %zu tags, noise %.3f, odd against even %.2f, %zu sightings rejected\n",
                scene.input.photos.size(), network.tags.size(), network.noise_factor,
                network.cross_validation.ratio, network.rejected.size());
    const std::string sets =
        steered ? "five heights and two steered sets" : "five heights, steering straight";
    const Located located = locate(network, scene.question);
    print(name + ", " + sets, heights_errors(scene, located), steered);
    print_notes(located);
    if (layout == Layout::strut)
      print(name + ", " + sets + ", strut axis by tags along its tube",
            heights_errors(scene, locate(network, with_tube(scene.question))), steered);
  }
}

}  // namespace

int main(int count, char** arguments) {
  const std::filesystem::path folder = count > 1 ? arguments[1] : "heights-photos";
  report(Layout::strut, folder);
  report(Layout::double_wishbone, folder);
  print("pointer, six positions in the dent and three touches", bench::pointer_errors(folder), true);
  return all_good ? 0 : 1;
}
