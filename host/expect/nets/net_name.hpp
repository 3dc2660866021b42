#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace host::expect::nets {

/// kSupply: a supply of a load. kLevel: a logic level of the board, "V33". kPair: one wire of a pair. kNone:
/// an empty name, a pin that is not connected.
enum class NetKind { kNone, kSupply, kLevel, kGround, kPair, kSignal };

/// A pair of an LVDS link by its name: "B3-" is channel 1, lane 3.
struct LinkPair {
  int channel = 0;          // 0 for A
  std::optional<int> lane;  // none: the clock pair
  friend bool operator==(const LinkPair&, const LinkPair&) = default;
};

[[nodiscard]] NetKind kind_of(std::string_view net);

/// Of a pair's wire, the name without its sign: "A0" for "A0-".
[[nodiscard]] std::string_view pair_of(std::string_view net);

/// Reads "A0".."D4", "ACLK".."DCLK"; nothing for other pairs.
[[nodiscard]] std::optional<LinkPair> link_pair(std::string_view pair);

/// "A0", "BCLK".
[[nodiscard]] std::string pair_name(const LinkPair& pair);

/// May a wire join pins of these two nets? Either nothing is there, or the same.
[[nodiscard]] bool agree(std::string_view board_net, std::string_view far_net);

}  // namespace host::expect::nets
