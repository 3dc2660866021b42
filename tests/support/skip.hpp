#pragma once

#include <string>

namespace tests::support {

/// Says that this machine can't show what the case under way is about. The program then ends with 77, unless
/// something else failed; with SKIP_RETURN_CODE 77 ctest lists it as skipped and not as passed.
void skip(const std::string& why);

}  // namespace tests::support
