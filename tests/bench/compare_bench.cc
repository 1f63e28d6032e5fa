// SPDX-License-Identifier: Apache-2.0
// Prints the tables of docs/accuracy.md for `compare` and `pool`: how often they are right about simulated
// cars whose shifts are known. `compare_bench [DRAWS [pool | uncertainty]]`, 400 unless told; with a second
// word only those of `pool`, or only those of the uncertainty that it states. Ends with 1 when a bar is
// missed. All cars are invented.
#include <array>
#include <cstdio>
#include <cstdlib>

#include "base/chi_square.h"
#include "compare/detection.h"
#include "pool/coverage.h"

namespace {

using namespace pivotfix;

bool all_good = true;
int draws = 400;

void print(const std::string& quantity, double percent, const char* wanted, bool good) {
  all_good = all_good && good;
  std::printf("| %s | %.1f %% | %s |%s\n", quantity.c_str(), percent, wanted, good ? "" : " MISSED");
  std::fflush(stdout);
}

void alarms(const std::string& quantity, const Share& share) {
  print(quantity, share.percent(), "3.5 to 6.5 %", std::abs(share.percent() - 5.0) <= 1.5);
}

void found(const std::string& quantity, const Share& share) {
  print(quantity, share.percent(), "85 % or more", share.percent() >= 85.0);
}

void for_the_record(const std::string& quantity, const Share& share) {
  print(quantity, share.percent(), "", true);
}

// Chi square with this freedom and noncentrality beyond `limit`: a Poisson mixture of central ones (Johnson,
// Kotz and Balakrishnan, "Continuous Univariate Distributions" 2, 1995).
double power(double limit, int freedom, double noncentrality) {
  double weight = std::exp(-0.5 * noncentrality), sum = 0.0;
  for (int j = 0; j < 200; ++j) {
    sum += weight * chi_square_probability(limit, freedom + 2 * j);
    weight *= 0.5 * noncentrality / (j + 1);
  }
  return sum;
}

double length_found_in_85_percent(double limit, int freedom) {
  double low = 0.0, high = 20.0;
  for (int i = 0; i < 60; ++i) {
    const double middle = 0.5 * (low + high);
    (power(limit, freedom, middle * middle) < 0.85 ? low : high) = middle;
  }
  return low;
}

void print_theory() {
  std::printf(
      "\n## What a test can see at all\n\n| test, 5 %% false alarms | found of shifts of three standard "
      "deviations | "
      "found in 85 %% from |\n|---|---|---|\n");
  struct Case {
    const char* words;
    double chance;
    int freedom;
  };
  const double of_eight = -std::expm1(std::log(0.95) / 8.0), of_24 = -std::expm1(std::log(0.95) / 24.0);
  for (const Case& one : {Case{"one pivot, one known direction", 0.05, 1},
                          {"one pivot, any direction", 0.05, 3},
                          {"eight pivots, any direction", of_eight, 3},
                          {"eight pivots, each coordinate by itself", of_24, 1},
                          {"eight pivots, all 24 coordinates at once", 0.05, 24}}) {
    const double limit = chi_square_at(one.chance, one.freedom);
    std::printf("| %s | %.1f %% | %.2f standard deviations |\n", one.words,
                100.0 * power(limit, one.freedom, 9.0), length_found_in_85_percent(limit, one.freedom));
  }
}

void report(const Setting& setting) {
  std::printf("\n## Two measurements, %s\n\n| quantity | reached | bar |\n|---|---|---|\n", setting.words);
  Sessions sessions(setting, draws, 31);
  const auto move_by = [&](const std::function<Eigen::Vector3d()>& shift_mm) {
    return [=](HardpointSet& set) { set.points[link_outer_joint].position_vehicle_mm += shift_mm(); };
  };
  alarms("nothing changed: an alarm of any kind", sessions.share(leave_alone, any_alarm));
  alarms("nothing changed: one pivot, looked at by itself, is at least \"perhaps\"",
         sessions.share(leave_alone, suspects));
  for_the_record("nothing changed: some pivot of all eight is \"perhaps\"",
                 sessions.share(leave_alone, any_suspect));
  const auto point_errors = move_by([&] { return sessions.three_point_errors(link_outer_joint); });
  found("one pivot off by three point errors, any direction: \"moved\"",
        sessions.share(point_errors, link_is_named));
  const auto move_all = [&](HardpointSet& set) {
    for (std::size_t i = 0; i < set.points.size(); ++i)
      set.points[i].position_vehicle_mm += sessions.three_point_errors(i);
  };
  found("all pivots off by three point errors: each \"moved\"", sessions.share(move_all, named));
  const auto one_coordinate = move_by([&] {
    const auto coordinate = static_cast<Eigen::Index>(std::abs(sessions.bench().normal()) * 1e4) % 3;
    return sessions.three_sigma_along(link_outer_joint, coordinate);
  });
  for_the_record("one coordinate off by its three standard deviations: \"moved\"",
                 sessions.share(one_coordinate, link_is_named));
  for_the_record("the same: at least \"perhaps\"", sessions.share(one_coordinate, link_is_suspect));
  const auto up = move_by([&] { return sessions.three_sigma_along(link_outer_joint, 2); });
  const CompareOptions along_z = link_touched(Eigen::Vector3d::UnitZ());
  alarms("nothing changed, pivot and direction said: an alarm",
         sessions.share(leave_alone, any_alarm, along_z));
  const Share said = sessions.share(up, link_is_named, along_z);
  // The best that any test can do when nothing else tells of the error, less twice what 400 draws scatter.
  const double theory = 85.1, scatter = 100.0 * std::sqrt(0.851 * 0.149 / draws);
  print("off by three standard deviations of that coordinate, pivot and direction said: \"moved\"",
        said.percent(), "85.1 % in theory, or more", said.percent() >= theory - 2.0 * scatter);
  found("three point errors, the pivot said but no direction: \"moved\"",
        sessions.share(point_errors, link_is_named, link_touched({})));
}

constexpr std::array scatters_mm{0.0, 0.2, 0.5, 1.0, 2.0};

void report_like_cars() {
  std::printf("\n## Pools of like cars: one is called odd, 3.5 to 6.5 %% wanted\n\n| cars |");
  for (const double scatter_mm : scatters_mm) std::printf(" differ by %.1f mm |", scatter_mm);
  std::printf("\n|---|---|---|---|---|---|\n");
  for (const int cars : {4, 5, 8, 12}) {
    std::printf("| %d |", cars);
    for (const double scatter_mm : scatters_mm) {
      const double percent = ClubDraws(43, scatter_mm, draws, cars).like_car_called_odd().percent();
      const bool good = std::abs(percent - 5.0) <= 1.5;
      all_good = all_good && good;
      std::printf(" %.1f %%%s |", percent, good ? "" : " MISSED");
      std::fflush(stdout);
    }
    std::printf("\n");
  }
}

void report_club(double scatter_mm) {
  std::printf("\n## Pool of eight cars, car to car %.1f mm, measuring 0.3 mm\n\n", scatter_mm);
  std::printf("| quantity | reached | bar |\n|---|---|---|\n");
  ClubDraws club(41, scatter_mm, draws);
  found("a car whose pivots are all off by three standard deviations: named",
        club.car_with_all_pivots_off_named());
  found("a car with a single pivot off by three standard deviations: named",
        club.car_with_one_pivot_off_named());
  for_the_record("two such cars, each with another pivot off: named",
                 club.two_cars_with_one_pivot_off_named());
  for_the_record(scatter_mm > 0.0 ? "pivots said to differ from car to car, as they do"
                                  : "like cars: a pivot is said to differ from car to car (5 % or less)",
                 scatter_mm > 0.0 ? club.pivots_said_to_differ() : club.any_said_to_differ());
}

// Pivots 6 and 7 are the last two of the eight.
void report_unlike_pivots() {
  struct Row {
    const char* words;
    ClubKind kind;
  };
  const std::vector<Row> rows{{"every second pivot 0.3 mm, the others 1.5 mm", {{0.3, 1.5}}},
                              {"0.2, 0.5, 1 and 2 mm in turn", {{0.2, 0.5, 1.0, 2.0}}},
                              {"seven pivots 0.4 mm, one 2 mm", {{0.4, 0.4, 0.4, 0.4, 0.4, 0.4, 0.4, 2.0}}},
                              {"seven pivots 0.5 mm, one 1 mm", {{0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 1.0}}},
                              {"all 0.5 mm, cars measured to 0.2 and 0.5 mm in turn", {{0.5}, {0.2, 0.5}}},
                              {"alike, cars measured to 0.2 and 0.5 mm in turn", {{0.0}, {0.2, 0.5}}}};
  std::printf(
      "\n## Pools of eight cars whose pivots differ unlike, or that were measured unlike\n\n"
      "| cars differ by | like cars: one is called odd | wheel centre off: named | last but one pivot off: "
      "named "
      "|\n|---|---|---|---|\n");
  for (const Row& row : rows) {
    ClubDraws club(44, row.kind, draws);
    const double percent = club.like_car_called_odd().percent();
    const bool good = std::abs(percent - 5.0) <= 1.5;
    all_good = all_good && good;
    std::printf("| %s | %.1f %%%s | %.1f %% | %.1f %% |\n", row.words, percent, good ? "" : " MISSED",
                club.car_with_one_pivot_off_named(7).percent(),
                club.car_with_one_pivot_off_named(6).percent());
    std::fflush(stdout);
  }
}

void report_coverage() {
  std::printf(
      "\n## Uncertainty that a pool states: beyond two, and beyond three of it; 0.1 to 10 %% beyond two are "
      "wanted\n\n| cars | differ by | one more car | the mean |\n|---|---|---|---|\n");
  for (const int cars : {2, 3, 4, 8})
    for (const double scatter_mm : {0.0, 0.1, 0.3, 1.0}) {
      const Coverage found = coverage(45, cars, scatter_mm, draws);
      bool good = true;
      for (const Beyond& beyond : {found.one_more_car, found.mean})
        good = good && beyond.two.percent() > 0.1 && beyond.two.percent() < 10.0;
      all_good = all_good && good;
      std::printf("| %d | %.1f mm | %.1f %%, %.1f %% | %.1f %%, %.1f %% |%s\n", cars, scatter_mm,
                  found.one_more_car.two.percent(), found.one_more_car.three.percent(),
                  found.mean.two.percent(), found.mean.three.percent(), good ? "" : " MISSED");
      std::fflush(stdout);
    }
}

}  // namespace

int main(int argc, char** argv) {
  if (argc > 1) draws = std::max(1, std::atoi(argv[1]));
  std::printf("%d draws each\n", draws);
  if (argc < 3) {
    print_theory();
    for (const Setting& setting : settings()) report(setting);
  }
  report_coverage();
  if (argc > 2 && std::string(argv[2]) == "uncertainty") return all_good ? 0 : 1;
  report_like_cars();
  report_unlike_pivots();
  for (const double scatter_mm : {0.0, 0.5, 2.0}) report_club(scatter_mm);
  return all_good ? 0 : 1;
}
