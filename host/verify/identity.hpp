#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "host/link/link_error.hpp"
#include "host/verify/reader.hpp"

namespace host::verify {

/// What a unit says of the profile it speaks. Texts are cleaned.
struct Profile {
  int major = 0;
  int minor = 0;
  std::string board;
};

/// What a unit of this project's profile says in object 80h.
inline constexpr std::string_view kProfileName = "strapline";

/// Reads the profile from the identification objects 80h..84h.
/// Errors   as Reader; `senseless`, exit code 65, for another profile, another major version, or a minor
/// version
///          known to both that is laid out otherwise.
[[nodiscard]] link::Result<Profile> read_profile(Reader& reader);

/// A unit that answers, but not as anything this tool can read: `senseless`, exit code 65.
[[nodiscard]] tl::unexpected<link::LinkError> unusable(std::string message, std::string remedy);

}  // namespace host::verify
