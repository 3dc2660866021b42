#include "sim/eye/arriving_line.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "sim/world/random.hpp"

namespace sim::eye {
namespace {

namespace card = host::signal::card;
namespace model = host::model;
namespace signal = host::signal;
using card::Rgb;
using signal::LvdsPixel;

int depth_of(model::Mapping mapping) {
  return model::bits_per_pixel(mapping) / 3;
}

std::uint16_t driven_level(std::uint8_t level, const Driven& driven) {
  const int depth = depth_of(driven.mapping);
  const std::uint16_t value = signal::to_depth(level, 8, depth);
  const int lost = std::max(0, depth - driven.bits);
  return static_cast<std::uint16_t>((value >> lost) << lost);
}

// What the receiver makes of a line of one pixel.
LvdsPixel received(const Scene& scene, const LvdsPixel& pixel) {
  constexpr std::size_t kCycles = 3;  // behind a reversed clock a pixel holds slots of two
  const std::vector<LvdsPixel> line(kCycles * static_cast<std::size_t>(scene.panel.channels), pixel);
  const auto got = signal::carry(scene.driven.mapping, scene.panel.mapping, scene.wires.path, line);
  return got[static_cast<std::size_t>(scene.panel.channels)];  // of the middle cycle's first channel
}

// The panel finds its lines by data enable, and where it needs them by the sync pulses.
bool framed(const Scene& scene) {
  const auto full = static_cast<std::uint16_t>((1U << depth_of(scene.driven.mapping)) - 1);
  const LvdsPixel black{}, white{full, full, full};
  LvdsPixel porch{}, h_pulse{}, v_pulse{};
  porch.enable = h_pulse.enable = v_pulse.enable = false;
  h_pulse.h_sync = v_pulse.v_sync = true;
  const LvdsPixel blank = received(scene, porch);
  if (!received(scene, black).enable || !received(scene, white).enable || blank.enable) return false;
  return !scene.panel.syncs ||
         (received(scene, h_pulse).h_sync != blank.h_sync && received(scene, v_pulse).v_sync != blank.v_sync);
}

bool clocked(const Scene& scene) {
  const Wires& wires = scene.wires;
  if (wires.lanes) return wires.lanes_whole;
  if (scene.driven.channels < scene.panel.channels) return false;  // a channel without a clock
  for (int channel = 0; channel < scene.panel.channels; ++channel) {
    if (wires.path.clock_open[static_cast<std::size_t>(channel)]) return false;
  }
  return true;
}

// One cycle of the link depends on no other, but behind a reversed clock: each different one is carried once.
std::vector<LvdsPixel> carried_once(const Scene& scene, const std::vector<LvdsPixel>& pixels) {
  const signal::LinkPath& path = scene.wires.path;
  const auto carry = [&](const std::vector<LvdsPixel>& line) {
    return signal::carry(scene.driven.mapping, scene.panel.mapping, path, line);
  };
  const auto channels = static_cast<std::size_t>(path.channels);
  const bool reversed =
      std::find(path.clock_reversed.begin(), path.clock_reversed.end(), true) != path.clock_reversed.end();
  if (reversed || pixels.size() % channels != 0) return carry(pixels);

  constexpr unsigned kWord = 16;
  std::map<std::array<std::uint64_t, signal::kChannelsMax>, std::size_t> known;
  std::vector<std::size_t> cycles;
  std::vector<LvdsPixel> different;
  for (std::size_t from = 0; from < pixels.size(); from += channels) {
    std::array<std::uint64_t, signal::kChannelsMax> key{};
    for (std::size_t channel = 0; channel < channels; ++channel) {
      const LvdsPixel& pixel = pixels[from + channel];
      key.at(channel) =
          (std::uint64_t{pixel.red} << kWord | pixel.green) << kWord | std::uint64_t{pixel.blue};
    }
    const auto [place, fresh] = known.try_emplace(key, different.size());
    if (fresh) {
      for (std::size_t channel = 0; channel < channels; ++channel)
        different.push_back(pixels[from + channel]);
    }
    cycles.push_back(place->second);
  }
  const std::vector<LvdsPixel> got = carry(different);
  std::vector<LvdsPixel> line;
  line.reserve(pixels.size());
  if (got.empty()) return line;
  for (const std::size_t at : cycles) {
    for (std::size_t channel = 0; channel < channels; ++channel) line.push_back(got[at + channel]);
  }
  return line;
}

// Skips whole runs of bits between two flips, so that a clean line costs one draw.
class Flips {
 public:
  Flips(double share, std::uint64_t seed) : random_{seed}, share_{share} { draw(); }
  std::uint16_t of(std::uint16_t value, int bits) {
    if (share_ <= 0) return value;
    while (until_ < bits) {
      value = static_cast<std::uint16_t>(value ^ (1U << static_cast<unsigned>(until_)));
      const std::int64_t at = until_;
      draw();
      until_ += at + 1;
    }
    until_ -= bits;
    return value;
  }

 private:
  void draw() {
    if (share_ <= 0) return;
    constexpr double kFar = 1e15;
    const double gap = share_ >= 1 ? 0 : std::log(1 - random_.uniform()) / std::log(1 - share_);
    until_ = static_cast<std::int64_t>(std::min(gap, kFar));
  }
  world::Random random_;
  double share_;
  std::int64_t until_ = 0;
};

}  // namespace

Arrival arrival(const Scene& scene) {
  if (!scene.data || !clocked(scene)) return Arrival::kNothing;
  const double hertz = scene.driven.hertz / scene.driven.channels *
                       (scene.wires.lanes ? scene.driven.channels : scene.panel.channels);
  if (!scene.panel.clock.contains({std::llround(hertz)})) return Arrival::kOutside;
  return scene.wires.lanes || framed(scene) ? Arrival::kPicture : Arrival::kUnframed;
}

int reaching_columns(const Scene& scene, int columns) {
  if (scene.wires.lanes || scene.driven.channels <= scene.panel.channels) return columns;
  return columns / scene.driven.channels * scene.panel.channels;
}

std::vector<Rgb> reaching(const Scene& scene, std::span<const Rgb> line) {
  if (scene.wires.lanes || scene.driven.channels <= scene.panel.channels) return {line.begin(), line.end()};
  std::vector<Rgb> some;
  for (std::size_t x = 0; x < line.size(); ++x) {
    if (static_cast<int>(x) % scene.driven.channels < scene.panel.channels) some.push_back(line[x]);
  }
  return some;
}

std::vector<Rgb> carried(const Scene& scene, std::span<const Rgb> line, double flips, std::uint64_t seed) {
  const Driven& driven = scene.driven;
  const model::Mapping taken = scene.panel.mapping;
  std::vector<LvdsPixel> pixels;
  pixels.reserve(line.size());
  for (const Rgb& pixel : reaching(scene, line)) {
    pixels.push_back({driven_level(pixel.red, driven), driven_level(pixel.green, driven),
                      driven_level(pixel.blue, driven)});
  }
  const int from = depth_of(driven.mapping), depth = depth_of(taken);
  if (scene.wires.lanes) {
    for (LvdsPixel& pixel : pixels) {
      pixel = {signal::to_depth(pixel.red, from, depth), signal::to_depth(pixel.green, from, depth),
               signal::to_depth(pixel.blue, from, depth)};
    }
  } else {
    pixels = carried_once(scene, pixels);
  }
  Flips flipped{flips, seed};
  std::vector<Rgb> seen;
  seen.reserve(pixels.size());
  for (const LvdsPixel& pixel : pixels) {
    const auto level = [&](std::uint16_t value) {
      return static_cast<std::uint8_t>(signal::to_depth(flipped.of(value, depth), depth, 8));
    };
    const std::uint8_t red = level(pixel.red), green = level(pixel.green), blue = level(pixel.blue);
    seen.push_back(pixel.enable ? Rgb{red, green, blue} : card::kBlack);
  }
  return seen;
}

}  // namespace sim::eye
