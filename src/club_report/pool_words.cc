// SPDX-License-Identifier: Apache-2.0
#include "club_report/pool_words.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "club_report/comparison_words.h"
#include "page/numbers.h"

namespace pivotfix::report {
namespace {

std::string odd_words(const OddCar& odd, LengthUnit unit) {
  const char* axes[] = {"x", "y", "z"};
  std::string off;
  for (Eigen::Index c = 0; c < 3; ++c)
    off += std::string(off.empty() ? "" : ", ") + axes[c] + " " + length_text(odd.off_mm[c], 0.0, unit, 1);
  return odd.label + " is odd: its " + spoken(odd.pivot) + " is off most, against the other cars by " + off +
         " (by chance " + (odd.probability < 0.002 ? std::string("< 0.002") : chance_text(odd.probability)) +
         ").";
}

void add_oddness(const PoolReport& input, std::vector<std::string>& sentences) {
  const Pool& pool = input.pool;
  for (const OddCar& odd : pool.odd) sentences.push_back(odd_words(odd, input.unit));
  if (!pool.odd.empty())
    sentences.push_back("Look at it again, or take it out: --without \"" + pool.odd.front().label + "\".");
  else
    sentences.push_back(pool.oddness_judged ? "No car is odd: none stands out from the others."
                                            : "Which car is odd can be told from four cars on.");
}

std::string scatter_sentence(const PoolReport& input) {
  std::string list;
  for (const PooledPoint& point : input.pool.points)
    if (point.differs)
      list += (list.empty() ? "" : ", ") + spoken(point.name) + " (" +
              length_text(point.scatter_mm, 0.0, input.unit, 2) + ")";
  if (list.empty()) return "The cars do not differ by more than their measurements' uncertainty explains.";
  return "From car to car these pivots differ by more than measuring explains (standard deviation of a "
         "coordinate): " +
         list + ".";
}

std::string value_or_dash(const std::string& text) {
  return text.empty() ? not_known : text;
}

}  // namespace

std::vector<std::string> pool_sentences(const PoolReport& input) {
  std::vector<std::string> sentences;
  add_oddness(input, sentences);
  sentences.push_back(scatter_sentence(input));
  return sentences;
}

std::vector<std::string> pooled_heads(LengthUnit unit) {
  const std::string in = ", " + std::string(name_of(unit));
  return {"pivot", "x" + in, "y" + in, "z" + in, "car to car", "95 %", "measuring", "chance", "differs"};
}

Rows pooled_rows(const PoolReport& input) {
  const double unit_mm = mm_per(input.unit);
  const int decimals = fine_decimals(input.unit);
  double largest_sigma = 0.0;
  for (const PooledPoint& point : input.pool.points)
    largest_sigma = std::max(largest_sigma, point.mean_sigma_mm.maxCoeff() / unit_mm);
  const int mean_decimals = column_decimals(largest_sigma, decimals);
  const auto length = [&](double length_mm) { return format_fixed(length_mm / unit_mm, decimals); };
  Rows rows;
  for (const PooledPoint& point : input.pool.points) {
    std::vector<std::string> row{spoken(point.name)};
    for (Eigen::Index c = 0; c < 3; ++c)
      row.push_back(column_text(point.mean_mm[c] / unit_mm, point.mean_sigma_mm[c] / unit_mm, mean_decimals));
    row.push_back(length(point.scatter_mm));
    row.push_back(length(point.scatter_low_mm) + "\xE2\x80\x93" + length(point.scatter_high_mm));
    row.push_back(length(point.measuring_mm));
    row.push_back(chance_text(point.probability));
    row.push_back(point.differs ? "yes" : "no");
    rows.push_back(row);
  }
  return rows;
}

std::vector<std::size_t> by_label(const Pool& pool) {
  std::vector<std::size_t> order(pool.members.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return pool.members[a].label < pool.members[b].label;
  });
  return order;
}

std::vector<std::string> car_heads() {
  return {"car", "measured on", "by", "how", "checksum of the set"};
}

Rows car_rows(const PoolReport& input) {
  Rows rows;
  for (const std::size_t i : by_label(input.pool)) {
    const PoolMember& member = input.pool.members[i];
    const Record& record = member.set.record;
    const std::size_t files = record.files.size();
    const std::string how =
        record.method + (files > 0 ? (record.method.empty() ? "" : ", ") + counted(files, "file") : "");
    rows.push_back({member.label, value_or_dash(record.date), value_or_dash(record.who), value_or_dash(how),
                    member.checksum});
  }
  return rows;
}

std::vector<std::string> pool_method_words(const PoolReport& input) {
  std::vector<std::string> texts{
      "Mean and car to car: random effects, Paule and Mandel. \xC2\xB1 is the standard uncertainty of the "
      "mean. Car to car: standard deviation of each coordinate among the cars, without what the measurements "
      "add; 95 %: where it may lie. Measuring: how well one car was measured. Chance: how often cars that "
      "are alike would differ so much.",
      "Cars that ride at different heights differ in their outboard joints, too."};
  if (input.pool.oddness_judged)
    texts.push_back("Odd: against the mean of the other cars, by the worst pivot or all together. In " +
                    share_words(input.pool.false_alarms) +
                    " pools of cars that are alike one is called odd.");
  for (const std::string& note : input.pool.notes) texts.push_back(lengths_in(note, input.unit));
  return texts;
}

}  // namespace pivotfix::report
