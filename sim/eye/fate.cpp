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

// Calls `take(line, x)` for every pixel between two of its like.
template <typename Take>
void each_flat(const std::vector<LinePair>& lines, int channels, int channel, const Take& take) {
  for (const LinePair& line : lines) {
    const std::size_t size = std::min(line.wanted.size(), line.came.size());
    for (std::size_t x = 1; x + 1 < size; ++x) {
      if (static_cast<int>(x) % channels != channel) continue;
      const Rgb wanted = line.wanted[x];
      if (line.wanted[x - 1] == wanted && line.wanted[x + 1] == wanted) take(line, x);
    }
  }
}

// Some pixel of its line that should be alike, and whose column fares alike, did come so.
bool alone(const LinePair& line, std::size_t x, std::size_t channels) {
  const std::size_t size = std::min(line.wanted.size(), line.came.size());
  const auto like = [&](std::size_t other) {
    return line.wanted[other] == line.wanted[x] && line.came[other] == line.came[x];
  };
  return !(x >= channels && like(x - channels)) && !(x + channels < size && like(x + channels));
}

}  // namespace

// Majority vote of Boyer and Moore (MJRTY, 1981): one pass, no counting of every outcome.
Fates::Fates(const std::vector<LinePair>& lines, int channels, int channel) {
  each_flat(lines, channels, channel, [this](const LinePair& line, std::size_t x) {
    const Rgb came = line.came[x];
    Vote& vote = votes_[key_of(line.wanted[x])];
    if (vote.lead == 0) vote.leader = came;
    vote.lead += vote.leader == came ? 1 : -1;
  });
  each_flat(lines, channels, channel, [&](const LinePair& line, std::size_t x) {
    ++counted_;
    if (votes_.at(key_of(line.wanted[x])).leader == line.came[x]) return;
    if (alone(line, x, static_cast<std::size_t>(channels))) ++astray_;
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
