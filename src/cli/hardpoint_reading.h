// SPDX-License-Identifier: Apache-2.0
// Hardpoint sets from files of any kind that is read.
#pragma once

#include <string>

#include "hardpoints/hardpoint_set.h"

namespace pivotfix {

// The whole file. Throws Problem(input) with `remedy` when there is none.
std::string hardpoint_text(const std::string& file, const std::string& remedy);

// How the file's name ends, in lower case: ".csv".
std::string ending_of(const std::string& file);

// Whether the name is that of a job file. `run` takes any text, but `steer` tells job and hardpoint files
// apart by their names.
bool is_job_name(const std::string& file);

// JSON, or CSV when the name ends so. Throws Problem(input).
HardpointSet read_hardpoints(const std::string& file, const CsvHints& hints = {});

}  // namespace pivotfix
