#pragma once

#include <string>
#include <string_view>

#include <tl/expected.hpp>

#include "sim/fault/fault.hpp"

namespace sim::fault {

/// Reads what stands behind the "=" in one form. Errors   one sentence that says what would be right.
/// Precondition: form is not kNone.
[[nodiscard]] tl::expected<Argument, std::string> parse_argument(Form form, std::string_view text);

/// The same written out; empty for none.
[[nodiscard]] std::string to_text(const Argument& argument);

}  // namespace sim::fault
