// SPDX-License-Identifier: Apache-2.0
// Prints the accuracy table of docs/accuracy.md: rendered photo sets of three cameras, against their truth.
// `accuracy_bench [SEEDS [KIND]]`: photo sets per camera, 3 unless told; only kinds whose name has KIND in
// it. Ends with 1 when a bar is missed.
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "bench/accuracy_rows.h"

namespace {

using namespace pivotfix;

struct Kind {
  const char* name;
  render::PhotoSetWish wish;
  double centre_bar_mm, hardpoint_bar_mm, length_bar_mm;
  double corner_bar_px = 0.0;  // 0: none
};

std::vector<Kind> kinds() {
  render::PhotoSetWish sharp;
  render::PhotoSetWish stabilised;
  stabilised.width_px = 3264;
  stabilised.height_px = 2448;
  stabilised.principal_shift_px = 6.0;
  stabilised.focal_change = 0.002;
  render::PhotoSetWish hard = stabilised;
  hard.principal_shift_px = hard.focal_change = 0.0;
  hard.film = {0.8, 1.0, 5.0, true, 0.5, 80};
  hard.most_blur_px = 2.2;
  hard.exposure_spread = 1.2;
  render::PhotoSetWish linear = sharp;
  linear.film = {0.7, 1.0, 2.0, false, 0.0, 0};
  return {{"linear light, rigid lens, 12 megapixels", linear, 0.012, 0.03, 0.06, 0.03},
          {"sharp, rigid lens, 12 megapixels", sharp, 0.012, 0.03, 0.06},
          {"stabilised lens, 8 megapixels", stabilised, 0.04, 0.06, 0.15},
          {"hard: blur, noise, JPEG 80, exposure", hard, 0.04, 0.08, 0.15}};
}

bool all_good = true;

const char* judged(bool good) {
  all_good = all_good && good;
  return good ? "" : " MISSED";
}

void print(const char* quantity, double reached, double bar, const char* unit) {
  std::printf("| %s | %.4f | %.3f | %s |%s\n", quantity, reached, bar, unit, judged(reached <= bar));
}

void report(const render::PhotoSet& set, const Kind& kind) {
  using Clock = std::chrono::steady_clock;
  const auto picture = bench::centre_errors(set);
  const auto seen = bench::recall(set);
  const auto before = Clock::now();
  const Network network = adjust_network(set.input);
  const double seconds = std::chrono::duration<double>(Clock::now() - before).count();
  const auto space = bench::space_errors(set, network);
  print("tag centre in the photo, rms per axis", picture.rms_px(), 0.03, "px");
  print("tag centre in the photo, mean", picture.mean_px(), 0.01, "px");
  if (kind.corner_bar_px > 0.0)
    print("corner in the photo, rms per axis", bench::corner_errors(set).rms_px(), kind.corner_bar_px, "px");
  print("tag centres in space, 3-D rms", space.centre_rms_mm, kind.centre_bar_mm, "mm");
  print("hardpoints 20 to 45 mm behind, 3-D rms", space.hardpoint_rms_mm, kind.hardpoint_bar_mm, "mm");
  print("largest length error", space.largest_length_mm, kind.length_bar_mm, "mm");
  std::printf("| mean normalised square | %.4f | about 1 | |\n", space.normalised_square);
  const bool found_enough = seen.wanted > 0 && seen.found >= 0.99 * seen.wanted && seen.wrong_numbers == 0;
  std::printf(
      "| tags found | %d of %d, %.2f %% | 99 %% | %d wrong numbers, %d half hidden and misplaced |%s\n",
      seen.found, seen.wanted, 100.0 * seen.found / std::max(1, seen.wanted), seen.wrong_numbers,
      seen.misplaced, judged(found_enough));
  std::printf(
      "  tags %d, rejected %zu, centre rms %.4f px, noise %.3f, shift %.2f px %.5f, adjusted in %.2f s\n",
      space.tags, network.rejected.size(), network.centre_rms_px, network.noise_factor,
      network.shift_sigma[0], network.shift_sigma[2], seconds);
  std::fflush(stdout);
}

void report_clutter() {
  render::PhotoSetWish wish;
  wish.photos = 200;
  wish.width_px = 3264;
  wish.height_px = 2448;
  const std::size_t wrong = render::sightings_in_clutter(wish).size();
  std::printf(
      "\n## 200 photos of clutter without tags, 8 megapixels\n\n| wrong tag numbers | %zu | 0 | |%s\n", wrong,
      judged(wrong == 0));
}

}  // namespace

int main(int count, char** arguments) {
  const int seeds = count > 1 ? std::atoi(arguments[1]) : 3;
  const std::string only = count > 2 ? arguments[2] : "";
  for (const Kind& kind : kinds()) {
    if (!only.empty() && std::string(kind.name).find(only) == std::string::npos) continue;
    for (int seed = 1; seed <= seeds; ++seed) {
      std::printf("\n## %s, set %d\n\n| quantity | reached | at most | |\n|---|---|---|---|\n", kind.name,
                  seed);
      render::PhotoSetWish wish = kind.wish;
      wish.seed = static_cast<unsigned>(seed);
      report(render::photograph_corner(wish), kind);
    }
  }
  if (only.empty() || only == "clutter") report_clutter();
  return all_good ? 0 : 1;
}
