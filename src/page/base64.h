// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

namespace pivotfix::report {

// RFC 4648, section 4, with padding.
std::string base64(std::string_view bytes);

}  // namespace pivotfix::report
