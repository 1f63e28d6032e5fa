// SPDX-License-Identifier: Apache-2.0
// Files of text that people write and send each other.
#pragma once

#include <filesystem>
#include <string>

namespace pivotfix {

// The file's whole content. Throws Problem(input) for what is not there ("There is no <noun> of this name
// ...", with `remedy`), for what is no ordinary file, and for more than 4 MB: no such file is as long, and a
// wrong one must not fill the memory.
std::string text_of_file(const std::filesystem::path& file, const std::string& noun,
                         const std::string& remedy);

}  // namespace pivotfix
