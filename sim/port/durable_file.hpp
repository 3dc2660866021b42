#pragma once

#include <string>
#include <string_view>

#include <tl/expected.hpp>

namespace sim::port {

/// Puts `octets` in the place of a file at once: whoever opens it finds the old or the new, whole, whatever
/// kills this program and whenever. `durable` waits until it is on the disk too.
/// Errors   one sentence; the old file is as it was.
enum class Durable { kNo, kYes };
[[nodiscard]] tl::expected<void, std::string> replace_file(const std::string& path, std::string_view octets,
                                                           Durable durable);

}  // namespace sim::port
