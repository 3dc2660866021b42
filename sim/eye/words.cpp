#include "sim/eye/words.hpp"

#include <array>

namespace sim::eye {
namespace {

constexpr auto kScreen = std::to_array<std::string_view>(
    {"dark", "dark-image", "white", "grey", "black-lit", "message", "panel-pattern", "picture"});

constexpr auto kLook = std::to_array<std::string_view>({"low-range",
                                                        "washed-out",
                                                        "folded",
                                                        "posterised",
                                                        "wrong-colours",
                                                        "cast",
                                                        "negative",
                                                        "speckled",
                                                        "sparkle",
                                                        "doubled",
                                                        "half",
                                                        "combed",
                                                        "shifted",
                                                        "cut",
                                                        "squeezed",
                                                        "soft",
                                                        "mirrored",
                                                        "torn",
                                                        "rolling",
                                                        "flicker",
                                                        "ghost",
                                                        "flash",
                                                        "dim",
                                                        "glaring",
                                                        "brightness-reversed",
                                                        "brightness-jumps",
                                                        "partly-lit",
                                                        "reddish-light",
                                                        "line",
                                                        "smeared"});

constexpr auto kWhen = std::to_array<std::string_view>(
    {"always", "at-start", "for-seconds", "cycling", "warm", "after-sleep", "when-touched"});

}  // namespace

std::span<const std::string_view> screen_words() {
  return kScreen;
}
std::span<const std::string_view> look_words() {
  return kLook;
}
std::span<const std::string_view> when_words() {
  return kWhen;
}

}  // namespace sim::eye
