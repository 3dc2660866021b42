#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace host::model {

/// The name that whoever wrote `written` most likely meant: fewest letters added, dropped, changed or
/// swapped with their neighbour; at most two, or a third of the length; a name cut short counts as two.
/// Nothing when none is near.
[[nodiscard]] std::optional<std::string> nearest(std::string_view written,
                                                 std::span<const std::string_view> names);
[[nodiscard]] std::optional<std::string> nearest(std::string_view written,
                                                 std::span<const std::string> names);

/// "did you mean 'voltage'?" when a name is near, then what there is: "kits: a, b, c".
[[nodiscard]] std::string nearest_hint(std::string_view written, std::span<const std::string_view> names,
                                       std::string_view what_they_are);

}  // namespace host::model
