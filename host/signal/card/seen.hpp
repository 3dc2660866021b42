#pragma once

#include <string>
#include <string_view>

#include <tl/expected.hpp>

#include "host/model/kit.hpp"
#include "host/signal/card/card.hpp"
#include "host/signal/card/raster.hpp"
#include "host/signal/lvds_slots.hpp"

namespace host::signal::card {

/// How the pixels get from board to panel.
struct LinkView {
  model::Mapping driven{};    // as the board serialises
  model::Mapping received{};  // as the panel takes them
  LinkPath path;
  int bits_used = 8;             // of each colour, as the board hands them on; lower ones are zero
  int shift_x = 0, shift_y = 0;  // by which the panel shows another part of the raster than it should
};

/// The view of a healthy unit of this kit.
[[nodiscard]] LinkView healthy_view(const model::Kit& kit);

/// The view with one thing wrong.
///
/// Takes    "mapping=jeida-24", "channels-swapped", "bits=6", "pair-open=N", "pair-open=clock",
///          "pair-reversed=N", "shifted=X,Y". N counts pairs from 0 through all channels: on a dual link with
///          four pairs each, 4 is the first pair of the second channel. X and Y are pixels of the raster,
///          either sign.
/// Errors   one sentence that says what would be right, for this kit.
[[nodiscard]] tl::expected<LinkView, std::string> with_fault(LinkView view, std::string_view fault);

/// What the eye sees of a raster on this panel: the pixels go through the serialiser, the wiring and the
/// panel's receiver bit by bit. No lock (an open clock) shows what the panel shows without data.
[[nodiscard]] Raster as_seen(const Raster& raster, const CardPlan& plan, const LinkView& view,
                             model::Unlit unlit);

}  // namespace host::signal::card
