#include "sim/eye/judge.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "sim/eye/curve.hpp"
#include "sim/eye/fate.hpp"
#include "sim/eye/hue.hpp"

namespace sim::eye {
namespace {

using host::signal::card::Raster;
using host::signal::card::Rgb;

constexpr double kFallsBelow = -0.5;                 // correlation
constexpr double kFoldedFrom = 0.3;                  // of full scale
constexpr double kLevelsLeft = 0.3;                  // of those the panel has
constexpr double kHighestLow = 0.6;                  // of full scale
constexpr double kDarkestHigh = 0.25;                // of full scale
constexpr double kSpeckled = 1e-2, kSparkle = 2e-4;  // of all pixels
constexpr double kFull = 255;
constexpr double kUnlike = 16;  // levels between two columns that the eye tells apart in stripes
constexpr std::size_t kGreysMin = 16;

constexpr std::array<Rgb, 6> kMixtures = {
    {{220, 120, 40}, {230, 170, 140}, {90, 150, 220}, {80, 140, 60}, {150, 60, 180}, {120, 80, 50}}};

void add(std::vector<std::string_view>& words, std::string_view word) {
  if (std::find(words.begin(), words.end(), word) == words.end()) words.push_back(word);
}

void judge_curves(const std::vector<Curve>& curves, int levels, std::vector<std::string_view>& words) {
  bool low = true, washed = true;
  for (const Curve& curve : curves) {
    if (curve.span() < kUnlike) continue;
    if (curve.correlation < kFallsBelow) {
      add(words, "negative");
    } else if (curve.back >= kFoldedFrom * kFull) {
      add(words, "folded");
    }
    if (curve.levels < kLevelsLeft * levels) add(words, "posterised");
  }
  for (const Curve& curve : curves) {
    low = low && curve.highest <= kHighestLow * kFull;
    washed = washed && curve.lowest >= kDarkestHigh * kFull;
  }
  if (low) add(words, "low-range");
  if (washed) add(words, "washed-out");
}

void judge_colours(const Fates& fates, std::vector<std::string_view>& words) {
  const Tint tint = tint_of(fates.greys());
  if (tint.visible && tint.same) {
    add(words, "cast");
    return;
  }
  int off = 0;
  for (const Fates::Colour& colour : fates.colours()) {
    if (std::find(kMixtures.begin(), kMixtures.end(), colour.wanted) == kMixtures.end()) continue;
    if (hue_lost(colour.wanted, colour.became)) ++off;
  }
  if (tint.visible || off >= 2) add(words, "wrong-colours");
}

// Of all pixels that came otherwise than their colour's fate, those that show what belongs to the neighbour.
bool neighbours_exchanged(const std::vector<LinePair>& lines, int channels, const std::vector<Fates>& fates) {
  std::size_t other = 0, exchanged = 0;
  for (const LinePair& line : lines) {
    for (std::size_t x = 0; x + 1 < std::min(line.wanted.size(), line.came.size()); ++x) {
      const std::size_t mate = x ^ 1U;
      if (mate >= line.wanted.size()) continue;
      const Fates& fate = fates[x % static_cast<std::size_t>(channels)];
      const auto own = fate.of(line.wanted[x]), mates = fate.of(line.wanted[mate]);
      if (!own || !mates || *own == line.came[x]) continue;
      ++other;
      if (*mates == line.came[x]) ++exchanged;
    }
  }
  return other > 0 && 2 * exchanged > other;
}

bool copied(const std::vector<LinePair>& lines) {
  std::size_t differ = 0, alike = 0;
  for (const LinePair& line : lines) {
    for (std::size_t x = 0; x + 1 < std::min(line.wanted.size(), line.came.size()); x += 2) {
      if (line.wanted[x] == line.wanted[x + 1]) continue;
      ++differ;
      if (line.came[x] == line.came[x + 1]) ++alike;
    }
  }
  return differ > 0 && alike * 100 >= differ * 95;
}

// Columns fare differently: what became of their colours is, on the mean, that far apart.
bool unlike(const Fates& some, const Fates& others) {
  double sum = 0;
  int compared = 0;
  const auto apart = [](Rgb a, Rgb b) {
    return std::max({std::abs(a.red - b.red), std::abs(a.green - b.green), std::abs(a.blue - b.blue)});
  };
  const auto compare = [&](Rgb wanted, Rgb became) {
    const auto other = others.of(wanted);
    if (!other) return;
    ++compared;
    sum += apart(became, *other);
  };
  for (const Fates::Colour& colour : some.colours()) compare(colour.wanted, colour.became);
  for (const Fates::Grey& grey : some.greys()) {
    const auto level = static_cast<std::uint8_t>(grey.level);
    compare({level, level, level},
            {static_cast<std::uint8_t>(grey.became[0]), static_cast<std::uint8_t>(grey.became[1]),
             static_cast<std::uint8_t>(grey.became[2])});
  }
  return compared > 0 && sum / compared > kUnlike;
}

}  // namespace

std::vector<std::string_view> judged(const std::vector<LinePair>& lines, int channels, int levels) {
  const int columns = std::max(channels, 2);
  std::vector<std::string_view> words;
  std::vector<Fates> fates;
  std::size_t counted = 0, astray = 0;
  for (int column = 0; column < columns; ++column) {
    const Fates& fate = fates.emplace_back(lines, columns, column);
    counted += fate.counted();
    astray += fate.astray();
    const auto greys = fate.greys();
    if (greys.size() < kGreysMin) continue;
    judge_curves(curves_of(greys), levels, words);
    judge_colours(fate, words);
    if (unlike(fates.front(), fate)) add(words, "combed");
  }
  const double share = counted > 0 ? static_cast<double>(astray) / static_cast<double>(counted) : 0;
  if (share > kSpeckled) {
    add(words, "speckled");
  } else if (share > kSparkle) {
    add(words, "sparkle");
  }
  if (copied(lines)) {
    add(words, "doubled");
  } else if (share <= kSparkle && neighbours_exchanged(lines, columns, fates)) {
    add(words, "combed");
  }
  return words;
}

Raster chart(int columns) {
  constexpr int kBlock = 8;
  std::vector<Rgb> blocks;
  for (int level = 0; level <= 255; ++level) {
    const auto v = static_cast<std::uint8_t>(level);
    for (const Rgb colour : {Rgb{v, v, v}, Rgb{v, 0, 0}, Rgb{0, v, 0}, Rgb{0, 0, v}})
      blocks.push_back(colour);
  }
  blocks.insert(blocks.end(), kMixtures.begin(), kMixtures.end());
  const int across = std::max(1, columns / kBlock);
  const int lines = (static_cast<int>(blocks.size()) + across - 1) / across;
  Raster picture{columns, lines};
  for (std::size_t i = 0; i < blocks.size(); ++i) {
    picture.fill(static_cast<int>(i) % across * kBlock, static_cast<int>(i) / across, kBlock, 1, blocks[i]);
  }
  return picture;
}

Tone tone(const std::vector<LinePair>& lines) {
  Tone tone;
  for (const LinePair& line : lines) {
    for (const Rgb& pixel : line.came) {
      const auto [least, greatest] = std::minmax({pixel.red, pixel.green, pixel.blue});
      tone.least = std::min<int>(tone.least, least);
      tone.greatest = std::max<int>(tone.greatest, greatest);
    }
  }
  return tone;
}

}  // namespace sim::eye
