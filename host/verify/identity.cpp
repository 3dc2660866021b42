#include "host/verify/identity.hpp"

#include <charconv>
#include <optional>
#include <string_view>
#include <vector>

#include <fmt/format.h>

#include "host/report/document.hpp"
#include "protocol/points/layout.hpp"
#include "protocol/rtu/crc.hpp"

namespace host::verify {
namespace {

constexpr std::uint8_t kNameObject = 0x80;
constexpr std::uint8_t kVersionObject = 0x81;
constexpr std::uint8_t kLayoutObject = 0x83;
constexpr std::uint8_t kBoardObject = 0x84;
constexpr int kExitData = 65;

std::string_view object(const link::DeviceObjects& objects, std::uint8_t id) {
  const auto found = objects.find(id);
  return found == objects.end() ? std::string_view{} : std::string_view{found->second};
}

std::optional<int> whole_number(std::string_view text) {
  int number = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
  const bool whole = error == std::errc{} && end == text.data() + text.size() && number >= 0;
  return whole ? std::optional<int>{number} : std::nullopt;
}

// As a unit of this profile says it: four hexadecimal digits.
std::string own_layout() {
  std::vector<std::uint8_t> octets;
  for (const protocol::points::Layout& layout : protocol::points::layouts()) {
    const auto eight = protocol::points::octets(layout);
    octets.insert(octets.end(), eight.begin(), eight.end());
  }
  return fmt::format("{:04X}", protocol::rtu::crc16(octets));
}

}  // namespace

tl::unexpected<link::LinkError> unusable(std::string message, std::string remedy) {
  link::LinkError error = link_error(link::Fault::kSenseless, std::move(message), std::move(remedy));
  error.exit_code = kExitData;
  error.retry = false;
  return tl::unexpected{std::move(error)};
}

link::Result<Profile> read_profile(Reader& reader) {
  const link::Result<link::DeviceObjects> objects = reader.identify();
  if (!objects) {
    if (objects.error().fault != link::Fault::kRefused) return tl::unexpected{objects.error()};
    return unusable("the unit answers, but does not identify itself as one this tool can read",
                    "check --address and what is connected");
  }
  const std::string_view name = object(*objects, kNameObject);
  if (name != kProfileName) {
    return unusable(name.empty() ? "the unit answers, but names no profile"
                                 : fmt::format("the unit has the profile '{}', not '{}'",
                                               report::cleaned(name), kProfileName),
                    "check --address and what is connected");
  }
  const std::string_view version = object(*objects, kVersionObject);
  const std::size_t dot = version.find('.');
  const auto major = whole_number(version.substr(0, dot));
  const auto minor = dot == std::string_view::npos ? std::nullopt : whole_number(version.substr(dot + 1));
  if (!major || !minor) {
    return unusable(fmt::format("the unit's profile version '{}' is none", report::cleaned(version)),
                    "a version reads like 0.1");
  }
  if (*major != protocol::points::kProfileMajor) {
    return unusable(fmt::format("the unit has profile {}.{}, this tool reads profile {}.x", *major, *minor,
                                protocol::points::kProfileMajor),
                    "use a version of this tool that reads it, or another firmware");
  }
  const std::string_view layout = object(*objects, kLayoutObject);
  if (*minor == protocol::points::kProfileMinor && !layout.empty() && layout != own_layout()) {
    return unusable(
        fmt::format("the unit says profile {}.{} and lays its points out otherwise (CRC {}, not {})", *major,
                    *minor, report::cleaned(layout), own_layout()),
        "its firmware does not keep to the profile");
  }
  return Profile{*major, *minor, report::cleaned(object(*objects, kBoardObject))};
}

}  // namespace host::verify
