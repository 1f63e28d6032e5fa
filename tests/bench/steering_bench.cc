// SPDX-License-Identifier: Apache-2.0
// Prints the tables of docs/accuracy.md for suspension and advice: agreement with Simbody, with closed forms,
// with differences and with brute force, and the times. `steering_bench [CORNERS]`: how many random corners
// the derivatives are taken of, 2000 unless told. Ends with 1 when a bar is missed. All corners are invented.
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <filesystem>
#include <fstream>
#include <limits>

#include "advice/advice.h"
#include "advice/brute_force.h"
#include "advice/stack.h"
#include "base/keep_larger.h"
#include "corner/example_corners.h"
#include "corner/fine_differences.h"
#include "outside/simbody_difference.h"

namespace {

using namespace pivotfix;

bool all_good = true;

void row(const std::string& quantity, double reached, double bar, const std::string& unit) {
  const bool good = reached <= bar;
  all_good = all_good && good;
  std::printf("| %s | %.2g | %.3g | %s |%s\n", quantity.c_str(), reached, bar, unit.c_str(),
              good ? "" : " MISSED");
  std::fflush(stdout);
}

// What was never looked at is not good.
double of(std::size_t compared, double worst) {
  return compared > 0 ? worst : std::numeric_limits<double>::infinity();
}

void heading(const char* title) {
  std::printf("\n## %s\n\n| quantity | reached | bar | |\n|---|---|---|---|\n", title);
}

double cpu_ms() {
  return 1e3 * static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

// Processor time: other programs on the machine shall not count.
template <typename Run>
double least_ms(int times, Run run) {
  double least = 1e9;
  for (int i = 0; i < times; ++i) {
    const double start = cpu_ms();
    run();
    least = std::min(least, cpu_ms() - start);
  }
  return least;
}

void report_simbody() {
  heading("Knuckle's pose against Simbody, 80 mm of bump and droop, rack at -25, 0 and 25 mm");
  for (const Layout layout : all_layouts()) {
    PoseDifference difference;
    for (unsigned seed = 0; seed < 4; ++seed) {
      const HardpointSet set = seed == 0 ? example_set(layout) : random_plausible_set(layout, seed);
      const Corner corner = make_corner(set);
      for (const double rack_mm : {-25.0, 0.0, 25.0})
        for (const CornerState& state : solve_curve(corner, {80.0, 80.0}, 10.0, rack_mm).states)
          difference.add(set, state);
    }
    const std::string name = words_of(layout) + ", " + std::to_string(difference.states) + " states";
    const auto states = static_cast<std::size_t>(difference.states);
    row(name, of(states, difference.place_mm), 1e-6, "mm");
    row(name, of(states, difference.turn_rad), 1e-8, "rad");
  }
}

// Where toe's slope and curvature vanish exactly: link to the instant centre, length after Euler and Savary.
double worst_of_euler_savary_deg() {
  const Corner corner = make_corner(converging_set(370.688744, 253.764474));
  const double toe_deg[] = {-0.00986, -0.00508, -0.00216, -0.00065, -0.00008, 0.0,
                            0.00008,  0.00069,  0.00236,  0.00571,  0.01139};
  double worst = 0.0;
  const Curve curve = solve_curve(corner, {50.0, 50.0}, 10.0);
  for (std::size_t i = 0; i < curve.states.size(); ++i)
    keep_larger(worst, std::abs(deg_from_rad(curve.states[i].toe_rad) - toe_deg[i]));
  return curve.states.size() == std::size(toe_deg) ? worst : 1.0;
}

void report_closed_forms() {
  heading("Closed forms");
  double worst = 0.0;
  std::size_t states = 0;
  for (const Parallelogram& one :
       {Parallelogram{350, 140, 350, 0, true}, Parallelogram{350, 140, 350, 10, true},
        Parallelogram{350, 140, 350, 10, false}, Parallelogram{350, 140, 300, 0, true},
        Parallelogram{350, 140, 300, 0, false}, Parallelogram{350, 140, 400, -5, true}})
    for (const CornerState& state : solve_curve(make_corner(one.set()), {80.0, 80.0}, 1.0).states) {
      keep_larger(worst, std::abs(state.toe_rad - one.toe_rad(state.travel_mm)));
      ++states;
    }
  row("equal parallel arms, link level, high, low, short and long, front and rear steer: toe",
      of(states, worst), 1e-12, "rad");
  row("converging arms, link that makes slope and curvature vanish (Euler-Savary): toe, table of 5 digits",
      worst_of_euler_savary_deg(), 6e-6, "deg");
}

void report_derivatives(unsigned corners) {
  heading("Random plausible corners, 400 of each layout when 2000 are asked for");
  DerivativeMisses worst{};
  double mirror = 0.0;
  double neighbours = 0.0;
  std::size_t heights = 0;
  for (unsigned number = 0; number < corners; ++number) {
    const DerivativeCase at = derivative_case(number);
    const HardpointSet set = random_plausible_set(at.layout, at.seed);
    const Corner corner = make_corner(set);
    const DerivativeMisses misses = derivative_misses(corner, at.travel_mm, at.rack_mm);
    for (std::size_t f = 0; f < figure_count; ++f) {
      keep_larger(worst[f].relative, misses[f].relative);
      worst[f].compared += misses[f].compared;
    }
    const Corner right = make_corner(mirrored(set));
    const Figures here = figures(corner, solve_state(corner, at.travel_mm, at.rack_mm));
    const Figures there = figures(right, solve_state(right, at.travel_mm, at.rack_mm));
    for (std::size_t f = 0; f < figure_count; ++f)
      keep_larger(mirror, std::abs(here.values[f] - there.values[f]));
    if (number % 10 != 0) continue;
    const Driving driving = driving_of(40.0, 40.0, HeightAim::least_squares);
    const BestHeight best = best_height(corner, driving);
    if (!best.found) continue;  // some plausible corners have none: how many were looked at is in the row
    ++heights;
    const double least = mean_square(corner, best.height_mm, driving);
    for (const double aside_mm : {-0.02, 0.02})
      neighbours += mean_square(corner, best.height_mm + aside_mm, driving) < least ? 1.0 : 0.0;
  }
  double of_instant_centre = 0.0;
  double of_others = 0.0;
  for (std::size_t f = 0; f < figure_count; ++f) {
    double& largest = belongs_to_instant_centre(static_cast<Figure>(f)) ? of_instant_centre : of_others;
    keep_larger(largest, of(worst[f].compared, worst[f].relative));
  }
  const std::string count = std::to_string(corners) + " corners";
  row("derivatives of all figures by every coordinate, relative to the figure's largest, " + count, of_others,
      1e-6, "");
  row("the same, instant centre and swing arm (not where it is longer than 20 m)", of_instant_centre, 1e-6,
      "");
  row("left and right of " + count + ": difference of any figure", of(corners, mirror), 0.0, "");
  row("best heights of every tenth of them (" + std::to_string(heights) +
          ") that a neighbour 0.02 mm aside beats",
      of(heights, neighbours), 0.0, "");
}

void report_heights() {
  heading("Best height against brute force on the exact model, 20 random corners of all layouts");
  HeightMisses worst;
  for (unsigned seed = 0; seed < 20; ++seed) {
    const Corner corner = make_corner(random_plausible_set(all_layouts()[seed % 5], seed, 8.0));
    worst.include(height_misses(corner, 30.0 + seed, 55.0 - seed,
                                seed % 3 == 0 ? some_weights : std::vector<TravelWeight>{}));
  }
  row("least squares", worst.least_squares_mm, 0.02, "mm");
  row("smallest peak", worst.smallest_peak_mm, 0.02, "mm");
  row("zero slope at ride height", worst.zero_slope_mm, 0.02, "mm");
}

// Inch and metric mixed.
RodEnd twelve_unlike_spacers() {
  RodEnd rod_end;
  for (const double inch : {0.060, 0.080, 0.100, 0.120, 0.150, 0.200})
    rod_end.stock.push_back({mm_per_inch * inch, 1, ""});
  for (const double mm : {0.5, 1.0, 1.6, 2.0, 3.0, 4.0}) rod_end.stock.push_back({mm, 1, ""});
  return rod_end;
}

// A hardpoint file with uncertainties, spacers, stud, rod end's sizes, lock and readings: all that `steer`
// can be asked without options.
std::string full_file(Layout layout) {
  HardpointSet set = example_set(layout);
  const Eigen::Index n = static_cast<Eigen::Index>(3 * set.points.size());
  set.covariance_mm2 = 0.04 * Eigen::MatrixXd::Identity(n, n);
  RodEnd rod_end = twelve_unlike_spacers();
  rod_end.between_now = {rod_end.stock[2], rod_end.stock[7]};
  rod_end.stud = {70.0, 10.0, 3.0};
  rod_end.sizes = {16.0, 22.225, 12.0, 12.0, 0.0, 0.0};
  rod_end.steering_lock_rad = rad_from_deg(33.0);
  set.rod_end = rod_end;
  set.driving = Driving{};
  const Corner corner = make_corner(set);
  for (const double travel_mm : {0.0, mm_per_inch})
    set.readings.push_back({travel_mm, solve_state(corner, travel_mm).toe_rad, rad_from_deg(0.03)});
  return hardpoints_to_json(set);
}

double steer_ms(Layout layout) {
  const std::string file = full_file(layout);
  return least_ms(10, [&] {
    const HardpointSet read = hardpoints_from_json(file, "file");
    const Advice advice = advise({read, *read.rod_end, *read.driving, read.readings});
    if (advice.sentences.empty()) std::abort();
  });
}

// A new process from its start to its end, loading of its libraries included, output thrown away.
double process_ms(const std::string& folder, std::vector<std::string> arguments) {
  arguments.insert(arguments.begin(), PIVOTFIX_PROGRAM);
  double least = 1e9;
  for (int i = 0; i < 40; ++i) {
    const auto start = std::chrono::steady_clock::now();
    const pid_t child = ::fork();
    if (child == 0) {
      std::vector<char*> argv;
      for (std::string& argument : arguments) argv.push_back(argument.data());
      argv.push_back(nullptr);
      if (::chdir(folder.c_str()) != 0 || !std::freopen("/dev/null", "w", stdout)) ::_exit(126);
      ::execv(argv[0], argv.data());
      ::_exit(127);
    }
    int status = 0;
    if (::waitpid(child, &status, 0) != child || status != 0) {
      std::printf("the program fails\n");
      std::exit(1);
    }
    const std::chrono::duration<double, std::milli> took = std::chrono::steady_clock::now() - start;
    least = std::min(least, took.count());
  }
  return least;
}

void report_times() {
  heading("Times, the least of several; one core, processes by the clock on the wall");
  RodEnd spacers = twelve_unlike_spacers();
  const auto search = [&] {
    if (nearest_stacks(spacers, -7.777, 5, 0.1).empty()) std::abort();
  };
  row("stack search over 12 unlike spacers, all used", least_ms(10, search), 50.0, "ms");
  spacers.stack_total_mm = 15.0;
  row("the same, some left over: 3^12 ways", least_ms(10, search), 50.0, "ms");
  for (const Layout layout : all_layouts()) {
    const Corner corner = make_corner(example_set(layout));
    row("toe curve of 161 states, " + words_of(layout),
        least_ms(10,
                 [&] {
                   solve_curve(corner, {80.0, 80.0}, 1.0);
                 }),
        5.0, "ms");
  }
  for (const Layout layout : all_layouts())
    row("all of steer's computation from the hardpoint file, 12 spacers, lock and readings, " +
            words_of(layout),
        steer_ms(layout), 20.0, "ms");
  const auto folder =
      std::filesystem::temp_directory_path() / ("steering-bench-" + std::to_string(::getpid()));
  std::filesystem::create_directory(folder);
  std::ofstream(folder / "corner.json") << full_file(Layout::double_wishbone);
  row("the process `pivotfix steer corner.json` as a whole", process_ms(folder, {"steer", "corner.json"}),
      60.0, "ms");
  row("the process `pivotfix steer --help`", process_ms(folder, {"steer", "--help"}), 50.0, "ms");
  std::filesystem::remove_all(folder);
}

}  // namespace

int main(int argc, char** argv) {
  const unsigned corners = argc > 1 ? static_cast<unsigned>(std::strtoul(argv[1], nullptr, 10)) : 2000U;
  report_simbody();
  report_closed_forms();
  report_derivatives(corners);
  report_heights();
  report_times();
  std::printf("\n%s\n", all_good ? "All bars are met." : "Some bars are missed.");
  return all_good ? 0 : 1;
}
