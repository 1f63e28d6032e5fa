// SPDX-License-Identifier: Apache-2.0
// The part of YAML that cv::FileStorage writes for a camera: keys with a number, a text or a matrix.
// Private to this folder.
#pragma once

#include <Eigen/Core>
#include <map>
#include <string>
#include <vector>

namespace pivotfix {

inline constexpr const char* lens_covariance_order = "fx fy/fx cx cy k1 k2 k3 p1 p2";

struct YamlEntry {
  int line = 0;
  std::string scalar{};  // as written, quotes removed
  bool is_matrix = false;
  Eigen::MatrixXd matrix{};
};

// Throws Problem(input) with the line where the text is not of that kind. Entries of other kinds are passed
// over: other programs add their own.
std::map<std::string, YamlEntry> parse_yaml_text(const std::string& text, const std::string& name);

// The whole text as a number, or throws Problem(input).
double yaml_number(const std::string& text, const std::string& key, const std::string& name, int line);

}  // namespace pivotfix
