// SPDX-License-Identifier: Apache-2.0
// What the user said: the job file, as values in millimetres and radians. docs/job-file.md has every key.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "base/units.h"
#include "hardpoints/locate_hardpoints.h"

namespace pivotfix {

struct PhotoSet {
  std::string height = "ride";
  std::vector<std::string> patterns{};  // as written, relative to the job's folder
};

struct Job {
  std::filesystem::path file{};
  std::string title{};
  LengthUnit unit = LengthUnit::millimetre;  // of bare numbers
  double tag_side_mm = 40.0;
  std::map<int, double> other_sides_mm{};
  std::vector<PhotoSet> photo_sets{};
  std::vector<ScaleBar> scale_bars{};
  HardpointQuestion question{};
  WheelSetting wheel{};
  RodEnd rod_end{};
  Travel travel{};
};

// Throws Problem(input) with file, line and column for syntax, unknown keys (suggesting the nearest known
// one), wrong types, missing or contradictory values.
Job read_job(const std::filesystem::path& file);

// The photos that the job names, sorted, each once. Throws Problem(input) when a pattern matches none.
std::vector<std::filesystem::path> photo_files(const Job& job);

// A commented job file, ready to edit, that read_job accepts.
struct NewJob {
  Side side = Side::left;
  Layout layout = Layout::strut;
  LengthUnit unit = LengthUnit::millimetre;
  double tag_side_mm = 40.0;
};
std::string new_job_text(const NewJob& wish);

// Writes through a temporary file in the same folder, synced and renamed: the file appears whole or not at
// all. Throws Problem(input) naming the file.
void write_whole_file(const std::filesystem::path& file, const std::string& content);

}  // namespace pivotfix
