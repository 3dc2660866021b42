#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "host/signal/card/raster.hpp"
#include "sim/eye/scene.hpp"

namespace sim::eye {

/// What the panel's timing controller gets.
enum class Arrival {
  kNothing,   // no data, or no clock to take it by
  kOutside,   // a clock beyond what it locks to
  kUnframed,  // a clock, and nothing that says where lines begin
  kPicture
};
[[nodiscard]] Arrival arrival(const Scene& scene);

/// Of each line that is driven, the pixels that reach the panel: all of them, or where the board drives more
/// channels than the panel has, those of the channels that are wired.
[[nodiscard]] std::vector<host::signal::card::Rgb> reaching(const Scene& scene,
                                                            std::span<const host::signal::card::Rgb> line);

/// One line through the link: cut to the bits the board hands on, serialised in its mapping, through the
/// wires, bits flipped by `flips` (the same for the same `seed`), received in the panel's mapping.
/// Returns  as many pixels as reaching(); none where there is no clock.
[[nodiscard]] std::vector<host::signal::card::Rgb> carried(const Scene& scene,
                                                           std::span<const host::signal::card::Rgb> line,
                                                           double flips, std::uint64_t seed);

/// Columns of a line as the panel counts them in its own clocks.
[[nodiscard]] int reaching_columns(const Scene& scene, int columns);

}  // namespace sim::eye
