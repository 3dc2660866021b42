#pragma once

#include <cstdint>
#include <string>

#include "host/link/link_error.hpp"
#include "host/verify/reader.hpp"

namespace host::verify {

/// What a unit says of the profile it speaks. Texts are cleaned.
struct Profile {
  int major = 0;
  int minor = 0;
  std::string board;
};

/// Reads the profile from the identification objects 80h..84h.
/// Errors   as Reader; `senseless`, exit code 65, for another profile, another major version, or the same
///          version with another layout.
[[nodiscard]] link::Result<Profile> read_profile(Reader& reader);

}  // namespace host::verify
