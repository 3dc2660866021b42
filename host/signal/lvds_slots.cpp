#include "host/signal/lvds_slots.hpp"

#include <cassert>
#include <utility>

#include "host/signal/lvds.hpp"

namespace host::signal {
namespace {

constexpr std::uint8_t kAllSlots = 0x7F;

// Slots by which a receiver is early behind a reversed clock: the pattern 1100011 rises before slot 5, its
// inverse before slot 2.
constexpr int kReversedClockShift = 3;

using PairSlots = std::array<Slot, kSlots>;

constexpr Slot r(int bit) {
  return {SlotSource::kRed, bit};
}
constexpr Slot g(int bit) {
  return {SlotSource::kGreen, bit};
}
constexpr Slot b(int bit) {
  return {SlotSource::kBlue, bit};
}
constexpr Slot kH = {SlotSource::kHSync, 0};
constexpr Slot kV = {SlotSource::kVSync, 0};
constexpr Slot kD = {SlotSource::kEnable, 0};
constexpr Slot k0 = {SlotSource::kZero, 0};

// The first three pairs are the same in every mapping but for how far the six bits they hold lie above the
// lowest.
constexpr PairSlots main_pair(int pair, int low) {
  switch (pair) {
    case 0: return {g(low), r(low + 5), r(low + 4), r(low + 3), r(low + 2), r(low + 1), r(low)};
    case 1: return {b(low + 1), b(low), g(low + 5), g(low + 4), g(low + 3), g(low + 2), g(low + 1)};
    default: return {kD, kV, kH, b(low + 5), b(low + 4), b(low + 3), b(low + 2)};
  }
}

// The others hold two bits of each colour.
constexpr PairSlots extra_pair(int low) {
  return {k0, b(low + 1), b(low), g(low + 1), g(low), r(low + 1), r(low)};
}

constexpr PairSlots pair_slots(model::Mapping mapping, int pair) {
  switch (mapping) {
    case model::Mapping::kRgb18: return main_pair(pair, 0);
    case model::Mapping::kVesa24:
    case model::Mapping::kVesa30: return pair < 3 ? main_pair(pair, 0) : extra_pair(pair == 3 ? 6 : 8);
    case model::Mapping::kJeida24: return pair < 3 ? main_pair(pair, 2) : extra_pair(0);
    case model::Mapping::kJeida30: return pair < 3 ? main_pair(pair, 4) : extra_pair(pair == 3 ? 2 : 0);
  }
  return {};
}

bool bit_of(const LvdsPixel& pixel, Slot slot) {
  switch (slot.source) {
    case SlotSource::kRed: return (pixel.red >> slot.bit & 1) != 0;
    case SlotSource::kGreen: return (pixel.green >> slot.bit & 1) != 0;
    case SlotSource::kBlue: return (pixel.blue >> slot.bit & 1) != 0;
    case SlotSource::kHSync: return pixel.h_sync;
    case SlotSource::kVSync: return pixel.v_sync;
    case SlotSource::kEnable: return pixel.enable;
    case SlotSource::kZero: return false;
  }
  return false;
}

void set_bit(LvdsPixel& pixel, Slot slot) {
  const auto colour = static_cast<std::uint16_t>(1U << slot.bit);
  switch (slot.source) {
    case SlotSource::kRed: pixel.red |= colour; break;
    case SlotSource::kGreen: pixel.green |= colour; break;
    case SlotSource::kBlue: pixel.blue |= colour; break;
    case SlotSource::kHSync: pixel.h_sync = true; break;
    case SlotSource::kVSync: pixel.v_sync = true; break;
    case SlotSource::kEnable: pixel.enable = true; break;
    case SlotSource::kZero: break;
  }
}

using Cycle = std::array<ChannelBits, kChannelsMax>;

// What one input pair of the receiver gets in a cycle of the driver.
std::uint8_t at_input(const LinkPath& path, const Cycle& cycle, int pairs_driven, std::size_t channel,
                      std::size_t pair) {
  const auto& source = path.at[channel][pair];
  if (!source || source->pair >= pairs_driven) return path.open_reads_high ? kAllSlots : 0;
  const std::uint8_t bits =
      cycle.at(static_cast<std::size_t>(source->channel)).pairs.at(static_cast<std::size_t>(source->pair));
  return source->reversed ? static_cast<std::uint8_t>(~bits & kAllSlots) : bits;
}

// The receiver's seven slots when its cycle starts early, in the cycle before.
std::uint8_t early(std::uint8_t before, std::uint8_t now) {
  return static_cast<std::uint8_t>((now << kReversedClockShift | before >> (kSlots - kReversedClockShift)) &
                                   kAllSlots);
}

}  // namespace

Slot slot_at(model::Mapping mapping, int pair, int slot) {
  assert(pair >= 0 && pair < data_pairs(mapping) && slot >= 0 && slot < kSlots);
  return pair_slots(mapping, pair)[static_cast<std::size_t>(slot)];
}

ChannelBits drive(model::Mapping mapping, const LvdsPixel& pixel) {
  ChannelBits bits;
  for (int pair = 0; pair < data_pairs(mapping); ++pair) {
    const PairSlots slots = pair_slots(mapping, pair);
    for (std::size_t slot = 0; slot < slots.size(); ++slot) {
      if (bit_of(pixel, slots[slot]))
        bits.pairs[static_cast<std::size_t>(pair)] |= static_cast<std::uint8_t>(1U << slot);
    }
  }
  return bits;
}

LvdsPixel receive(model::Mapping mapping, const ChannelBits& bits) {
  LvdsPixel pixel;
  pixel.enable = false;
  for (int pair = 0; pair < data_pairs(mapping); ++pair) {
    const PairSlots slots = pair_slots(mapping, pair);
    for (std::size_t slot = 0; slot < slots.size(); ++slot) {
      if ((bits.pairs[static_cast<std::size_t>(pair)] >> slot & 1) != 0) set_bit(pixel, slots[slot]);
    }
  }
  return pixel;
}

std::uint16_t to_depth(std::uint16_t value, int from, int to) {
  if (to <= from) return static_cast<std::uint16_t>(value >> (from - to));
  std::uint32_t result = 0;
  for (int left = to; left > 0; left -= from) {
    result |= left >= from ? std::uint32_t{value} << (left - from) : std::uint32_t{value} >> (from - left);
  }
  return static_cast<std::uint16_t>(result);
}

LinkPath straight_path(int channels) {
  assert(channels == 1 || channels == 2 || channels == 4);
  LinkPath path;
  path.channels = channels;
  for (int channel = 0; channel < channels; ++channel) {
    for (int pair = 0; pair < kPairsMax; ++pair) {
      path.at[static_cast<std::size_t>(channel)][static_cast<std::size_t>(pair)] =
          PairSource{channel, pair, false};
    }
  }
  return path;
}

LinkPath with_pair_open(LinkPath path, int channel, int pair) {
  path.at.at(static_cast<std::size_t>(channel)).at(static_cast<std::size_t>(pair)).reset();
  return path;
}

LinkPath with_pair_reversed(LinkPath path, int channel, int pair) {
  auto& source = path.at.at(static_cast<std::size_t>(channel)).at(static_cast<std::size_t>(pair));
  if (source) source->reversed = !source->reversed;
  return path;
}

LinkPath with_pairs_crossed(LinkPath path, int channel, int pair, int other_pair) {
  auto& pairs = path.at.at(static_cast<std::size_t>(channel));
  std::swap(pairs.at(static_cast<std::size_t>(pair)), pairs.at(static_cast<std::size_t>(other_pair)));
  return path;
}

LinkPath with_channels_swapped(LinkPath path, int channel, int other_channel) {
  const auto a = static_cast<std::size_t>(channel);
  const auto z = static_cast<std::size_t>(other_channel);
  std::swap(path.at.at(a), path.at.at(z));
  std::swap(path.clock_open.at(a), path.clock_open.at(z));
  std::swap(path.clock_reversed.at(a), path.clock_reversed.at(z));
  return path;
}

std::vector<LvdsPixel> carry(model::Mapping driven, model::Mapping received, const LinkPath& path,
                             std::span<const LvdsPixel> line) {
  assert(path.channels == 1 || path.channels == 2 || path.channels == 4);
  const auto channels = static_cast<std::size_t>(path.channels);
  for (std::size_t channel = 0; channel < channels; ++channel) {
    if (path.clock_open[channel]) return {};
  }
  std::vector<LvdsPixel> result;
  result.reserve(line.size());
  Cycle before{};  // what the inputs of the receiver got in the cycle before
  for (std::size_t first = 0; first < line.size(); first += channels) {
    Cycle sent{};
    for (std::size_t channel = 0; channel < channels && first + channel < line.size(); ++channel) {
      sent[channel] = drive(driven, line[first + channel]);
    }
    Cycle got{};
    for (std::size_t channel = 0; channel < channels; ++channel) {
      ChannelBits cycle;
      for (std::size_t pair = 0; pair < kPairsMax; ++pair) {
        got[channel].pairs[pair] = at_input(path, sent, data_pairs(driven), channel, pair);
        cycle.pairs[pair] = path.clock_reversed[channel]
                                ? early(before[channel].pairs[pair], got[channel].pairs[pair])
                                : got[channel].pairs[pair];
      }
      if (first + channel < line.size()) result.push_back(receive(received, cycle));
    }
    before = got;
  }
  return result;
}

}  // namespace host::signal
