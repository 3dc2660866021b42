#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "host/model/kit.hpp"
#include "sim/unit/memory.hpp"

namespace sim::port {

/// A unit's memory as text, a line a value: "brightness_ppm 800000"; log records as "log BOOT UPTIME CODE
/// VALUE", oldest first. Texts stand to the end of their line; control characters become blanks.
[[nodiscard]] std::string to_text(const unit::Memory& memory);

/// Reads it back; settings that the text leaves out are those of a unit from production. Nothing when a line
/// isn't one of these, or a value can't be: a memory of another make.
[[nodiscard]] std::optional<unit::Memory> parse_memory(std::string_view text, const host::model::Kit& kit);

}  // namespace sim::port
