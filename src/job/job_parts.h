// SPDX-License-Identifier: Apache-2.0
// The longer sections of the job file, each read into its part of Job. Private to this folder.
#pragma once

#include <filesystem>
#include <string>

#include "job/toml_reader.h"

namespace pivotfix {

// The file's whole content. Throws Problem(input): "There is no <noun> of this name ...", "Check the path, or
// <instead>".
std::string text_of_file(const std::filesystem::path& file, const std::string& noun,
                         const std::string& instead);

void read_axes(const TomlValue& value, Job& job);

// `layout_place` is where the file says its layout: the place to name when a hardpoint is missing.
// Reads after read_axes, because a tag on the floor cannot mark a hardpoint.
void read_hardpoints(const TomlValue& value, const Place& layout_place, Job& job);

void read_rod_end(const TomlValue& value, Job& job);

// Way of driving and its travel.
void read_travel(const TomlValue& value, Job& job);

// Toe readings; reads after the wheel, whose rim they may refer to.
void read_readings(const TomlValue& value, Job& job);

}  // namespace pivotfix
