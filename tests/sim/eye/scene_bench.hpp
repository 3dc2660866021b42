#pragma once

#include <string>
#include <vector>

#include "sim/eye/glance.hpp"

namespace tests::sim {

/// A scene with nothing wrong, small enough for a pencil: a source and a panel of 640 x 400, one channel,
/// vesa-24, 24 MHz, black without data, lit at 0.8 of full brightness as wanted, 200 Hz.
///
///   line    640 of 800 (780 .. 840)        frame   400 of 500 (480 .. 520), 60 Hz (55 .. 65)
[[nodiscard]] ::sim::eye::Scene good_scene();

/// The same on two channels.
[[nodiscard]] ::sim::eye::Scene two_channels();

using Words = std::vector<std::string>;

/// What is seen of it, as words in one line: "picture: cast posterised".
[[nodiscard]] std::string seen_of(const ::sim::eye::Scene& scene, bool touched = false);

}  // namespace tests::sim
