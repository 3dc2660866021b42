#pragma once

#include <string>
#include <vector>

#include "host/signal/card/raster.hpp"
#include "sim/eye/scene.hpp"

namespace sim::eye {

/// What a person sees at one moment, in words.
struct Glance {
  std::string screen;
  std::vector<std::string> look;  // sorted
  friend bool operator==(const Glance&, const Glance&) = default;

  /// A picture and nothing odd about it.
  [[nodiscard]] bool right() const { return screen == "picture" && look.empty(); }
};

/// Looks at a scene. `touched`: someone moves the panel's cable meanwhile.
[[nodiscard]] Glance glance(const Scene& scene, bool touched = false);

/// What the glass would show behind a good light, whatever light there is.
///
///   white, black-lit, grey   one tone: of the relaxed glass, of a controller that takes nothing, of the
///   picture panel-pattern            a controller that has a clock and finds no lines draws something of its
///   own message                  the board's words picture                  a picture, as `look` says
struct Shown {
  std::string_view screen;
  std::vector<std::string_view> look;  // of the picture; empty for anything else
};
[[nodiscard]] Shown shown(const Scene& scene, bool touched);

/// The words of the whole from what the glass shows and what light there is. Without light: dark, or
/// dark-image where a picture stands on the glass.
[[nodiscard]] Glance combined(const Shown& shown, const Light& light);

/// The picture as the eye has it, panel's size: the test card through everything above, by the light there
/// is. White at the brightness the kit wants is white; other light scales it by the eye's response, of power
/// 1/2.2; without light a picture is left at 1/12, as by a torch held aslant.
[[nodiscard]] host::signal::card::Raster picture(const Scene& scene);

}  // namespace sim::eye
