// SPDX-License-Identifier: Apache-2.0
// Numbers that nobody has measured yet: `new` writes "?" for them. Private.
#pragma once

#include <toml++/toml.h>

#include <filesystem>
#include <vector>

#include "job/job.h"

namespace pivotfix {

// Takes every "?" out of the file and says where they stood, from the top. A length stands in for each, so
// that the rest of the file is read and checked: whoever needs what was measured asks for the blanks first.
std::vector<Blank> take_blanks(toml::table& top);

// Throws Problem(input) that names these, one at least.
[[noreturn]] void refuse(const std::vector<Blank>& blanks, const std::filesystem::path& job_file);

}  // namespace pivotfix
