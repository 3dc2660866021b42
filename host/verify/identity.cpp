#include "host/verify/identity.hpp"

#include <algorithm>
#include <charconv>
#include <optional>
#include <string>
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

// As a unit of this minor version says it: four hexadecimal digits.
std::string known_layout(std::size_t minor) {
  std::vector<std::uint8_t> octets;
  for (const auto& layout : protocol::points::layouts().first(protocol::points::kPointsByMinor.at(minor))) {
    const auto eight = protocol::points::octets(layout);
    octets.insert(octets.end(), eight.begin(), eight.end());
  }
  return fmt::format("{:04X}", protocol::rtu::crc16(octets));
}

std::vector<std::string_view> parted(std::string_view text) {
  std::vector<std::string_view> parts;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find(' '), text.size());
    parts.push_back(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return parts;
}

// Holds what a unit says of its layouts against ours, as far as both know minor versions; why not, or
// nothing.
std::optional<std::string> contradiction(std::size_t minor, std::string_view layouts) {
  if (layouts.empty()) return std::nullopt;
  const auto said = parted(layouts);
  if (said.size() != minor + 1) return fmt::format("names {} layouts, not one a minor version", said.size());
  for (std::size_t m = 0; m <= std::min<std::size_t>(minor, protocol::points::kProfileMinor); ++m) {
    const std::string known = known_layout(m);
    if (said[m] == known) continue;
    return fmt::format("lays the points of {}.{} out otherwise (CRC {}, not {})",
                       protocol::points::kProfileMajor, m, report::cleaned(said[m]), known);
  }
  return std::nullopt;
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
                    "a version reads like 1.0");
  }
  if (*major != protocol::points::kProfileMajor) {
    return unusable(fmt::format("the unit has profile {}.{}, this tool reads profile {}.x", *major, *minor,
                                protocol::points::kProfileMajor),
                    "use a version of this tool that reads it, or another firmware");
  }
  const auto otherwise = contradiction(static_cast<std::size_t>(*minor), object(*objects, kLayoutObject));
  if (otherwise) {
    return unusable(fmt::format("the unit says profile {}.{} and {}", *major, *minor, *otherwise),
                    "its firmware does not keep to the profile");
  }
  return Profile{*major, *minor, report::cleaned(object(*objects, kBoardObject))};
}

}  // namespace host::verify
