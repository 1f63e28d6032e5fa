// SPDX-License-Identifier: Apache-2.0
#include "acceptance/acceptance.h"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <cmath>
#include <map>

#include "base/units.h"

namespace pivotfix {
namespace {

// Recommendations of VDI/VDE 2634 part 1 (2002): lines and the ratio of uncertainties from memory, lengths on
// a line and the longest length as quoted in theses on the guideline.
constexpr int recommended_lines = 7;
constexpr int recommended_on_a_line = 5;
constexpr double recommended_share_of_diagonal = 2.0 / 3.0;
constexpr double recommended_sigma_share = 0.2;  // of the limit

std::string pair_text(int from, int to) {
  return std::to_string(from) + "-" + std::to_string(to);
}

int tag_index(const Network& network, int number, const KnownLength& known) {
  const int index = network.index_of_tag(number);
  if (index < 0)
    throw Problem(ProblemKind::refused,
                  "Tag " + std::to_string(number) + " of the known length " +
                      pair_text(known.from_tag, known.to_tag) + " was not measured.",
                  "Take more photos of it, or take the length out.", known.place);
  return index;
}

void check_not_a_scale_bar(const Network& network, const KnownLength& known) {
  for (const ScaleBarResult& result : network.scale_bars)
    if (std::minmax(result.bar.from_tag, result.bar.to_tag) == std::minmax(known.from_tag, known.to_tag))
      throw Problem(ProblemKind::refused,
                    "The length " + pair_text(known.from_tag, known.to_tag) +
                        " is a scale strip of the job: what made the scale cannot test it.",
                    "Take it out of the known lengths, or out of the job file.", known.place);
}

TestedLength test_length(const Network& network, const KnownLength& known, const LengthErrorLimit& limit) {
  check_not_a_scale_bar(network, known);
  const Eigen::Index from = tag_index(network, known.from_tag, known);
  const Eigen::Index to = tag_index(network, known.to_tag, known);
  const Eigen::Vector3d apart_mm =
      network.tags[to].network_from_tag.translation_mm - network.tags[from].network_from_tag.translation_mm;
  const Eigen::Vector3d along = apart_mm.normalized();
  const auto& covariance = network.tag_covariance;
  const Eigen::Matrix3d spread =
      covariance.block<3, 3>(6 * from, 6 * from) + covariance.block<3, 3>(6 * to, 6 * to) -
      covariance.block<3, 3>(6 * from, 6 * to) - covariance.block<3, 3>(6 * to, 6 * from);
  return {known, apart_mm.norm(), std::sqrt(std::max(0.0, along.dot(spread * along))),
          limit.of_mm(known.length_mm)};
}

double volume_diagonal_mm(const Network& network) {
  Eigen::Matrix3Xd centres(3, network.tags.size());
  for (std::size_t i = 0; i < network.tags.size(); ++i)
    centres.col(i) = network.tags[i].network_from_tag.translation_mm;
  const Eigen::Matrix3Xd about_mean = centres.colwise() - centres.rowwise().mean();
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> axes(about_mean * about_mean.transpose());
  const Eigen::Matrix3Xd along = axes.eigenvectors().transpose() * about_mean;
  return (along.rowwise().maxCoeff() - along.rowwise().minCoeff()).norm();
}

void count_lines(Acceptance& acceptance) {
  std::map<std::string, int> on_line;
  int alone = 0;
  for (const TestedLength& length : acceptance.lengths)
    if (length.known.line.empty())
      ++alone;
    else
      ++on_line[length.known.line];
  acceptance.lines = static_cast<int>(on_line.size()) + alone;
  acceptance.fewest_on_a_line = alone > 0 ? 1 : static_cast<int>(acceptance.lengths.size());
  for (const auto& [line, count] : on_line)
    acceptance.fewest_on_a_line = std::min(acceptance.fewest_on_a_line, count);
}

void compare_with_guideline(Acceptance& acceptance) {
  auto& lacks = acceptance.short_of_guideline;
  if (acceptance.lines < recommended_lines)
    lacks.push_back("measuring lines in different directions: " + std::to_string(acceptance.lines) +
                    ", recommended " + std::to_string(recommended_lines));
  if (acceptance.fewest_on_a_line < recommended_on_a_line)
    lacks.push_back("lengths on the line with the fewest: " + std::to_string(acceptance.fewest_on_a_line) +
                    ", recommended " + std::to_string(recommended_on_a_line));
  double longest_mm = 0.0, worst_sigma_share = 0.0;
  for (const TestedLength& length : acceptance.lengths) {
    longest_mm = std::max(longest_mm, length.known.length_mm);
    worst_sigma_share = std::max(worst_sigma_share, length.known.sigma_mm / length.limit_mm);
  }
  if (longest_mm < recommended_share_of_diagonal * acceptance.volume_diagonal_mm)
    lacks.push_back("longest length: " + format_fixed(longest_mm, 0) + " mm, recommended " +
                    format_fixed(recommended_share_of_diagonal * acceptance.volume_diagonal_mm, 0) +
                    " mm, two thirds of the volume's diagonal");
  if (worst_sigma_share > recommended_sigma_share)
    lacks.push_back("known lengths' uncertainty: up to " + format_fixed(worst_sigma_share, 2) +
                    " of the limit, recommended a fifth");
}

std::size_t worst_of(const Acceptance& acceptance) {
  const auto size = [&](const TestedLength& length) {
    return std::abs(length.error_mm()) / (acceptance.passed ? 1.0 : length.limit_mm);
  };
  const auto worst =
      std::max_element(acceptance.lengths.begin(), acceptance.lengths.end(),
                       [&](const auto& one, const auto& other) { return size(one) < size(other); });
  return static_cast<std::size_t>(worst - acceptance.lengths.begin());
}

}  // namespace

Acceptance judge_lengths(const Network& network, const std::vector<KnownLength>& known,
                         const LengthErrorLimit& limit) {
  if (known.empty()) throw Problem(ProblemKind::refused, "There is no known length to test.", "Give some.");
  Acceptance acceptance;
  for (const KnownLength& length : known) acceptance.lengths.push_back(test_length(network, length, limit));
  acceptance.passed = std::all_of(acceptance.lengths.begin(), acceptance.lengths.end(),
                                  [](const TestedLength& length) { return length.passes(); });
  acceptance.worst = worst_of(acceptance);
  acceptance.volume_diagonal_mm = volume_diagonal_mm(network);
  count_lines(acceptance);
  compare_with_guideline(acceptance);
  return acceptance;
}

std::string acceptance_text(const Acceptance& acceptance) {
  const auto column = [](const std::string& text, std::size_t width) {
    return (text.size() < width ? std::string(width - text.size(), ' ') : "") + text;
  };
  const TestedLength& worst = acceptance.lengths[acceptance.worst];
  std::string text =
      std::string(acceptance.passed ? "Passed: the largest of " : "NOT passed: the worst of ") +
      std::to_string(acceptance.lengths.size()) + " length errors is " + format_fixed(worst.error_mm(), 3) +
      " mm (tags " + pair_text(worst.known.from_tag, worst.known.to_tag) + "), allowed there " +
      format_fixed(worst.limit_mm, 3) + " mm.\n\n";
  text += "    tags       known    measured   error  +-known  +-measured   limit\n";
  for (const TestedLength& length : acceptance.lengths)
    text += column(pair_text(length.known.from_tag, length.known.to_tag), 8) +
            column(format_fixed(length.known.length_mm, 3), 12) +
            column(format_fixed(length.measured_mm, 3), 12) + column(format_fixed(length.error_mm(), 3), 8) +
            column(format_fixed(length.known.sigma_mm, 3), 9) +
            column(format_fixed(length.measured_sigma_mm, 3), 12) +
            column(format_fixed(length.limit_mm, 3), 8) + (length.passes() ? "" : "  too large") + "\n";
  text += "(millimetres; +- is one standard uncertainty)\n\n";
  if (acceptance.short_of_guideline.empty())
    return text + "The lengths are as many and as long as VDI/VDE 2634 part 1 recommends.\n";
  text += "A test in the full sense of VDI/VDE 2634 part 1 needs more:\n";
  for (const std::string& lack : acceptance.short_of_guideline) text += "  " + lack + "\n";
  return text;
}

std::string acceptance_csv(const Acceptance& acceptance) {
  std::string text =
      "from_tag,to_tag,known_mm,known_sigma_mm,measured_mm,measured_sigma_mm,error_mm,limit_mm\n";
  for (const TestedLength& length : acceptance.lengths) {
    text += std::to_string(length.known.from_tag) + "," + std::to_string(length.known.to_tag);
    for (const double value : {length.known.length_mm, length.known.sigma_mm, length.measured_mm,
                               length.measured_sigma_mm, length.error_mm(), length.limit_mm})
      text += "," + format_fixed(value, 4);
    text += "\n";
  }
  return text;
}

}  // namespace pivotfix
