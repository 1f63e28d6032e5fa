// SPDX-License-Identifier: Apache-2.0
// The files of `assets/` and the library that draws in space, as the build put them into the program
// (assets/embed.cmake).
#pragma once

#include <string_view>

namespace pivotfix::report {

std::string_view page_style();

// What stands in the page's two script elements, byte for byte.
std::string_view page_script();
std::string_view library_script();

// SHA-256 of both, 64 hexadecimal digits: the page allows no other script.
std::string_view page_script_sha256();
std::string_view library_script_sha256();

}  // namespace pivotfix::report
