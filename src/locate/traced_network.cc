// SPDX-License-Identifier: Apache-2.0
#include "locate/traced_network.h"

#include <algorithm>
#include <map>
#include <set>

#include "base/problem.h"

namespace pivotfix {

std::string height_of(const std::string& set) {
  return set.substr(0, set.find('/'));
}

int TracedNetwork::index_of(int number, const std::string& set) const {
  if (const int exact = network_.index_of_tag(number, set); exact >= 0) return exact;
  if (const int at_height = network_.index_of_tag(number, height_of(set)); at_height >= 0) return at_height;
  if (set.find('/') != std::string::npos) return -1;
  const Body of_tag{{}, {number}};
  const auto owner = std::find_if(bodies_.begin(), bodies_.end(), [&](const Body& body) {
    return std::count(body.tags.begin(), body.tags.end(), number) > 0;
  });
  const Body& of_body = owner == bodies_.end() ? of_tag : *owner;
  // Where the body's best set does not show this tag, the tag's own.
  for (const Body& of : {of_body, of_tag})
    if (const std::string best = best_set_of(of, set); !best.empty())
      if (const int there = network_.index_of_tag(number, best); there >= 0) return there;
  return -1;
}

std::string TracedNetwork::best_set_of(const Body& body, const std::string& height) const {
  std::map<std::string, int> photos;
  for (const TagInSpace& tag : network_.tags)
    if (!tag.set.empty() && height_of(tag.set) == height &&
        std::count(body.tags.begin(), body.tags.end(), tag.number) > 0)
      photos[tag.set] += tag.photos;
  const auto best = std::max_element(photos.begin(), photos.end(),
                                     [](const auto& a, const auto& b) { return a.second < b.second; });
  return best == photos.end() ? std::string() : best->first;
}

TracedPose TracedNetwork::tag(int number, const std::string& set, const std::string& needed_for) const {
  const int index = index_of(number, set);
  if (index < 0) {
    const bool elsewhere = std::any_of(network_.tags.begin(), network_.tags.end(),
                                       [&](const TagInSpace& tag) { return tag.number == number; });
    throw Problem(
        ProblemKind::refused,
        "Tag " + std::to_string(number) + ", needed for " + needed_for + ", is not in two photos " +
            (elsewhere ? "of \"" + set + "\" " : std::string()) + "that fit together with the others.",
        "Take two more photos that show it together with other tags, or correct its number in the job file.");
  }
  TracedPose pose{network_.tags[index].network_from_tag, Eigen::MatrixXd::Zero(6, inputs_)};
  pose.by_inputs.block<6, 6>(0, 6 * index).setIdentity();
  return pose;
}

Traced TracedNetwork::centre(int number, const std::string& set, const std::string& needed_for) const {
  const TracedPose pose = tag(number, set, needed_for);
  return {pose.value.translation_mm, pose.by_inputs.topRows<3>()};
}

std::vector<std::string> TracedNetwork::sets_of(const Body& body) const {
  std::set<std::string> sets;
  for (const TagInSpace& tag : network_.tags)
    if (!tag.set.empty() && std::count(body.tags.begin(), body.tags.end(), tag.number) > 0)
      sets.insert(tag.set);
  return {sets.begin(), sets.end()};
}

TracedPose TracedNetwork::moved(const Body& body, const std::string& from, const std::string& to) const {
  if (body.tags.empty() || from == to) return TracedPose::identity(inputs_);
  for (const int number : body.tags)
    if (index_of(number, from) >= 0 && index_of(number, to) >= 0)
      return tag(number, to, body.name) * tag(number, from, body.name).inverse();
  throw Problem(ProblemKind::refused,
                "No tag of the " + body.name + " is seen both in \"" + from + "\" and in \"" + to + "\".",
                "Take more photos of its tags in both.");
}

std::vector<RelativeMotion> TracedNetwork::motions(const Body& part, const Body& seen_from,
                                                   const std::string& reference,
                                                   const std::vector<std::string>& but_not) const {
  const auto seen_in = [&](const Body& body, const std::string& set) {
    return body.tags.empty() || std::any_of(body.tags.begin(), body.tags.end(),
                                            [&](int number) { return index_of(number, set) >= 0; });
  };
  std::vector<RelativeMotion> motions;
  for (const std::string& set : sets_of(part)) {
    if (set == reference || std::count(but_not.begin(), but_not.end(), height_of(set)) > 0) continue;
    if (!seen_in(seen_from, set)) continue;
    motions.push_back({set, moved(seen_from, set, reference) * moved(part, reference, set)});
  }
  return motions;
}

Traced TracedNetwork::middle_of(const Body& body, const std::string& set) const {
  Traced sum{Eigen::Vector3d::Zero(), Eigen::MatrixXd::Zero(3, inputs_)};
  int count = 0;
  for (const int number : body.tags)
    if (index_of(number, set) >= 0) {
      sum = sum + centre(number, set, body.name);
      ++count;
    }
  return count > 0 ? 1.0 / count * sum : sum;
}

}  // namespace pivotfix
