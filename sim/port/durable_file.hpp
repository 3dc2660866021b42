#pragma once

#include <string>
#include <string_view>

#include <tl/expected.hpp>

namespace sim::port {

/// Puts `octets` in the place of a file at once: whoever opens it finds the old or the new, whole, whatever
/// kills this program and whenever. `durable` waits until it is on the disk too.
/// A link stays, what it leads to is replaced.
/// Errors   one sentence; the old file is as it was. Anything but an ordinary file is left alone.
enum class Durable { kNo, kYes };
[[nodiscard]] tl::expected<void, std::string> replace_file(const std::string& path, std::string_view octets,
                                                           Durable durable);

/// Where a chain of links ends; the path itself when there is no file there yet.
[[nodiscard]] std::string end_of_link(const std::string& path);

/// Whether a file of that name is an ordinary one, at the end of its links, or doesn't exist yet.
[[nodiscard]] bool is_ordinary_or_new(const std::string& path);

}  // namespace sim::port
