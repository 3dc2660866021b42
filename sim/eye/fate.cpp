#include "sim/eye/fate.hpp"

namespace sim::eye {
namespace {

using host::signal::card::Rgb;

std::uint32_t key_of(Rgb pixel) {
  return static_cast<std::uint32_t>(pixel.red) << 16U | static_cast<std::uint32_t>(pixel.green) << 8U |
         pixel.blue;
}

Rgb colour_of(std::uint32_t key) {
  return {static_cast<std::uint8_t>(key >> 16U), static_cast<std::uint8_t>(key >> 8U),
          static_cast<std::uint8_t>(key)};
}

// Calls `take(wanted, came)` for every pixel between two of its like.
template <typename Take>
void each_flat(const std::vector<LinePair>& lines, int channels, int channel, const Take& take) {
  for (const LinePair& line : lines) {
    const std::size_t size = std::min(line.wanted.size(), line.came.size());
    for (std::size_t x = 1; x + 1 < size; ++x) {
      if (static_cast<int>(x) % channels != channel) continue;
      const Rgb wanted = line.wanted[x];
      if (line.wanted[x - 1] == wanted && line.wanted[x + 1] == wanted) take(wanted, line.came[x]);
    }
  }
}

}  // namespace

// Majority vote of Boyer and Moore (MJRTY, 1981): one pass, no counting of every outcome.
Fates::Fates(const std::vector<LinePair>& lines, int channels, int channel) {
  each_flat(lines, channels, channel, [this](Rgb wanted, Rgb came) {
    Vote& vote = votes_[key_of(wanted)];
    if (vote.lead == 0) vote.leader = came;
    vote.lead += vote.leader == came ? 1 : -1;
  });
  each_flat(lines, channels, channel, [this](Rgb wanted, Rgb came) {
    ++counted_;
    if (!(votes_.at(key_of(wanted)).leader == came)) ++astray_;
  });
}

std::optional<Rgb> Fates::of(Rgb wanted) const {
  const auto found = votes_.find(key_of(wanted));
  return found == votes_.end() ? std::nullopt : std::optional{found->second.leader};
}

std::vector<Fates::Grey> Fates::greys() const {
  std::vector<Grey> greys;
  for (const auto& [key, vote] : votes_) {
    const Rgb wanted = colour_of(key);
    if (wanted.red != wanted.green || wanted.green != wanted.blue) continue;
    greys.push_back({wanted.red, {vote.leader.red, vote.leader.green, vote.leader.blue}});
  }
  return greys;
}

std::vector<Fates::Colour> Fates::colours() const {
  std::vector<Colour> colours;
  for (const auto& [key, vote] : votes_) {
    const Rgb wanted = colour_of(key);
    if (wanted.red == wanted.green && wanted.green == wanted.blue) continue;
    colours.push_back({wanted, vote.leader});
  }
  return colours;
}

}  // namespace sim::eye
