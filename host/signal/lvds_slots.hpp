#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "host/model/panel.hpp"

namespace host::signal {

inline constexpr int kSlots = 7;
inline constexpr int kPairsMax = 5;
inline constexpr int kChannelsMax = 4;

enum class SlotSource : std::uint8_t { kRed, kGreen, kBlue, kHSync, kVSync, kEnable, kZero };

/// What a slot carries: a bit of a colour, a control, or nothing.
struct Slot {
  SlotSource source = SlotSource::kZero;
  int bit = 0;  // of a colour; 0 is its least significant
  friend constexpr bool operator==(Slot, Slot) = default;
};

/// The slot of a pair, in order of time: the clock pair is high in slots 0, 1, 5 and 6.
/// Precondition: 0 <= pair < data_pairs(mapping), 0 <= slot < kSlots.
/// Source: the slot tables of the lvds data mapping of Linux' devicetree bindings; 30 bit: its later
/// extension.
[[nodiscard]] Slot slot_at(model::Mapping mapping, int pair, int slot);

/// One pixel as the link sees it; colours have the depth of the mapping (6, 8 or 10 bits), from 0.
struct LvdsPixel {
  std::uint16_t red = 0, green = 0, blue = 0;
  bool h_sync = false, v_sync = false, enable = true;
  friend constexpr bool operator==(const LvdsPixel&, const LvdsPixel&) = default;
};

/// What one channel carries in one cycle of the link clock: bit s of pairs[p] is slot s of pair p.
struct ChannelBits {
  std::array<std::uint8_t, kPairsMax> pairs{};
  friend constexpr bool operator==(const ChannelBits&, const ChannelBits&) = default;
};

/// Serialises a pixel. Bits of a colour above the mapping's depth are lost; pairs it doesn't have stay zero.
[[nodiscard]] ChannelBits drive(model::Mapping mapping, const LvdsPixel& pixel);

/// What a receiver set to `mapping` makes of the bits; it ignores pairs that the mapping doesn't have.
[[nodiscard]] LvdsPixel receive(model::Mapping mapping, const ChannelBits& bits);

/// Brings a colour from one depth to another as boards do: the top bits are kept, missing low bits repeat the
/// top ones, so that black stays black and white white. Precondition: 1 <= from, to <= 16.
[[nodiscard]] std::uint16_t to_depth(std::uint16_t value, int from, int to);

/// Where an input pair of the receiver is wired to.
struct PairSource {
  int channel = 0, pair = 0;  // of the driver
  bool reversed = false;      // its two wires exchanged: every bit inverted
  friend constexpr bool operator==(const PairSource&, const PairSource&) = default;
};

/// The wiring between a driver and a receiver; `at[channel][pair]` is an input of the receiver, none when
/// open. The pin map of a cable fills it in, the functions below change it.
struct LinkPath {
  int channels = 1;  // 1, 2 or 4
  std::array<std::array<std::optional<PairSource>, kPairsMax>, kChannelsMax> at{};
  std::array<bool, kChannelsMax> clock_open{};
  std::array<bool, kChannelsMax> clock_reversed{};
  bool open_reads_high = true;  // what an input that nothing drives gives; fail-safe receivers give a high
};

/// Every pair to its namesake. Precondition: channels is 1, 2 or 4.
[[nodiscard]] LinkPath straight_path(int channels);

/// Nothing reaches one input pair.
[[nodiscard]] LinkPath with_pair_open(LinkPath path, int channel, int pair);

/// The wires of one input pair are exchanged.
[[nodiscard]] LinkPath with_pair_reversed(LinkPath path, int channel, int pair);

/// Two input pairs are exchanged.
[[nodiscard]] LinkPath with_pairs_crossed(LinkPath path, int channel, int pair, int other_pair);

/// Two channels are exchanged whole, clocks included: neighbouring columns change places.
[[nodiscard]] LinkPath with_channels_swapped(LinkPath path, int channel, int other_channel);

/// Carries a line of pixels through the wiring: the pixels are shared out among the channels in turn, the
/// first channel taking the first pixel; each is driven in one mapping and received in another.
///
/// Returns  as many pixels as went in; none at all when a clock is open (the receiver never locks). Behind a
/// reversed
///          clock pair a receiver starts its cycle three slots early, so that each of its pixels holds slots
///          of two. A last cycle that not every channel fills is filled with zeroes.
/// Precondition: path.channels is 1, 2 or 4.
[[nodiscard]] std::vector<LvdsPixel> carry(model::Mapping driven, model::Mapping received,
                                           const LinkPath& path, std::span<const LvdsPixel> line);

}  // namespace host::signal
