// SPDX-License-Identifier: Apache-2.0
// The longer sections of the job file, each read into its part of Job. Private to this folder.
#pragma once

#include <string>

#include "job/text_file.h"
#include "job/toml_reader.h"

namespace pivotfix {

void read_axes(const TomlValue& value, Job& job);

// The parts that move, and the pointer's tags and dent.
void read_moving(const TomlValue& value, Job& job);
void read_pointer(const TomlValue& value, Job& job);
// Heights and turns of the hub need tags on what moves between them; `photos` is the place to name.
void check_parts_of_photos(const TomlValue& photos, const Job& job);
// A tag that must stay cannot sit on a part that moves; checks all that was read.
void check_roles_of_moving_tags(const Job& job);

// Patterns of photos, one at least.
std::vector<PhotoPattern> read_patterns(const TomlValue& value);

// The positions that a list names: each entry a folder or a pattern, or a list of photos.
void read_positions(const TomlValue& value, const std::string& hardpoint, Job& job);

// Distances measured by tape; reads after the hardpoints.
void read_distances(const TomlValue& value, Job& job);

// The recorded ride height.
void read_ride_height(const TomlValue& value, Job& job);

// `layout_place` is where the file says its layout: the place to name when a hardpoint is missing.
// Reads after read_axes, because a tag on the floor cannot mark a hardpoint.
void read_hardpoints(const TomlValue& value, const Place& layout_place, Job& job);

// Where the measurement comes from; reads after the axes, because a tag on the floor is none on the body.
void read_record(const TomlValue& value, Job& job);

void read_rod_end(const TomlValue& value, Job& job);

// Way of driving and its travel.
void read_travel(const TomlValue& value, Job& job);

// Toe readings; reads after the wheel, whose rim they may refer to.
void read_readings(const TomlValue& value, Job& job);

}  // namespace pivotfix
