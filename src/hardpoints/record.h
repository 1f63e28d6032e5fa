// SPDX-License-Identifier: Apache-2.0
// Where a hardpoint set comes from, and what stays on the car to find it again.
#pragma once

#include <Eigen/Core>
#include <string>
#include <vector>

namespace pivotfix {

struct InputFile {
  std::string name{};
  std::string checksum{};  // XXH64 of the file's bytes, 16 hexadecimal digits
};

// Empty where not known. `files` and `options` are all that, with the program's version, made the result.
struct Record {
  std::string car{};     // which one of several
  std::string date{};    // of the measurement, "2026-05-17"
  std::string who{};     // measured it
  std::string method{};  // "photos", "plumb bob and rule"
  std::vector<InputFile> files{};
  std::vector<std::string> options{};  // as on the command line, those that change the result

  bool empty() const {
    return car.empty() && date.empty() && who.empty() && method.empty() && files.empty() && options.empty();
  }
};

// A day such as "2026-05-17".
bool is_day(const std::string& text);

// Tags that stay stuck on the car's body: two measurements of the same corner are laid over each other on
// them. Vehicle axes, like the hardpoints.
struct BodyTags {
  std::vector<int> numbers{};
  std::vector<Eigen::Vector3d> centres_vehicle_mm{};
  // A row for each coordinate of each tag; columns: all coordinates of the hardpoints, in the set's order,
  // then those of the tags. Empty when not known.
  Eigen::MatrixXd covariance_mm2{};
};

}  // namespace pivotfix
