#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include <tl/expected.hpp>

namespace sim::script {

/// What can be done to a unit while it runs, by a script or by someone at the control socket.
enum class Verb : std::uint8_t {
  kPower,
  kPlug,
  kUnplug,
  kKey,
  kFault,
  kMend,
  kSetting,
  kAmbient,
  kStrap,
  kReset
};

/// One such thing. The argument is as written; who performs it says what would be right.
struct Act {
  Verb verb = Verb::kReset;
  std::string argument;
  friend bool operator==(const Act&, const Act&) = default;
};

struct VerbWords {
  std::string_view name;
  std::string_view argument;  // "NAME=ARG"; empty: it takes none
  std::string_view help;
};

/// The words of every verb, in the order of Verb.
[[nodiscard]] std::span<const VerbWords> verb_words();
[[nodiscard]] const VerbWords& words_of(Verb verb);
[[nodiscard]] std::optional<Verb> find_verb(std::string_view name);

/// Reads "fault supply-low=10 V": a verb, blanks, its argument.
/// Errors   one sentence: no such verb (with the nearest), an argument that is missing or too much.
[[nodiscard]] tl::expected<Act, std::string> parse_act(std::string_view text);

/// "fault supply-low=10 V".
[[nodiscard]] std::string to_text(const Act& act);

}  // namespace sim::script
