#pragma once

#include <span>
#include <string_view>

namespace sim::eye {

/// The words for what a person in front of a unit sees: of the whole screen, of the picture, and when. What
/// each means: README.md.
[[nodiscard]] std::span<const std::string_view> screen_words();
[[nodiscard]] std::span<const std::string_view> look_words();
[[nodiscard]] std::span<const std::string_view> when_words();

}  // namespace sim::eye
