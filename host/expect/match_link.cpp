#include <algorithm>

#include "host/expect/functions.hpp"
#include "host/expect/match_rules.hpp"
#include "host/expect/phrases.hpp"
#include "host/signal/edp.hpp"
#include "host/signal/lvds.hpp"

namespace host::expect {
namespace {

using model::FunctionId;
using model::FunctionValue;

bool offers(const model::Function* function, const FunctionValue& value) {
  return function != nullptr && std::ranges::any_of(function->rows, [&](const model::FunctionRow& row) {
           return row.value == value;
         });
}

std::string rasters(const model::Function* function) {
  std::string text;
  if (function == nullptr) return "none";
  for (const model::FunctionRow& row : function->rows) {
    text += phrase(text.empty() ? "" : "; ", to_text(row.value));
  }
  return text;
}

void match_lanes(Bout& bout, model::Hertz pixel_clock) {
  const auto& link = bout.panel.link;
  if (!link.lane_rate || !bout.board.link.lane_rate_max) return;
  const model::KilobitsPerSecond offered = *bout.board.link.lane_rate_max;
  // A rate is one of a few, so one that is reached leaves nothing to spare and lacks nothing.
  if (*link.lane_rate > offered) {
    bout.hold(RefusalKind::kClock, "link.lane_rate", link.lane_rate->count, offered.count,
              to_text(*link.lane_rate), to_text(offered),
              phrase("the panel's lanes run at ", to_text(*link.lane_rate), "; its at ", to_text(offered),
                     " at most"));
  }
  const model::KilobitsPerSecond needed{signal::pixel_rate_kbps(pixel_clock, bits_per_pixel(link.mapping))};
  const model::KilobitsPerSecond carried = model::edp_payload(link.channels, *link.lane_rate);
  bout.hold(RefusalKind::kClock, "link.payload", needed.count, carried.count, to_text(needed),
            to_text(carried),
            phrase("the panel's ", to_text(pixel_clock), " needs ", to_text(needed), "; its lanes carry ",
                   to_text(carried)));
}

void match_clock(Bout& bout) {
  const auto& link = bout.panel.link;
  const auto& output = bout.board.link;
  const model::Hertz pixel_clock = wanted_clock(bout.panel);
  if (link.channels < 1 || pixel_clock.count <= 0) return;
  if (link.kind == model::LinkKind::kEdp) return match_lanes(bout, pixel_clock);
  const model::Hertz clock = signal::link_clock(pixel_clock, link.channels);
  bout.hold(RefusalKind::kClock, "link.channel_clock", clock.count, output.channel_clock_max.count,
            to_text(clock), to_text(output.channel_clock_max),
            phrase("the panel's ", to_text(pixel_clock), " on ", link.channels,
                   link.channels == 1 ? " channel is " : " channels is ", to_text(clock),
                   " a channel; it clocks ", to_text(output.channel_clock_max), " at most"));
}

void match_bits(Bout& bout) {
  const auto& link = bout.panel.link;
  const bool lvds = link.kind == model::LinkKind::kLvds;
  const model::Function* mapping = bout.board.function(FunctionId::kBitMapping);
  const bool mapped = offers(mapping, link.mapping) || bout.board.link.mapping == link.mapping;
  if (lvds && !mapped) {
    std::string offered =
        bout.board.link.mapping ? std::string(to_text(*bout.board.link.mapping)) : rasters(mapping);
    bout.refuse(RefusalKind::kBits, "link.mapping", std::string(to_text(link.mapping)), offered,
                phrase("the panel takes ", to_text(link.mapping), "; it gives ", offered));
  }
  const FunctionValue raster{needed_raster(bout.panel)};
  const model::Function* rows = bout.board.function(FunctionId::kRasterRow);
  if (!offers(rows, raster)) {
    bout.refuse(RefusalKind::kBits, "link.raster", to_text(raster), rasters(rows),
                phrase("the panel takes ", to_text(raster), "; no row of its straps gives that"));
  }
}

}  // namespace

void match_link(Bout& bout) {
  const auto& link = bout.panel.link;
  const auto& output = bout.board.link;
  const auto kind = [](model::LinkKind one) { return one == model::LinkKind::kLvds ? "lvds" : "edp"; };
  if (link.kind != output.kind) {
    bout.refuse(RefusalKind::kElectrical, "link.kind", kind(link.kind), kind(output.kind),
                phrase("the panel takes ", kind(link.kind), "; it gives ", kind(output.kind)));
    return;  // channels, clocks and mappings of two kinds can't be held against each other
  }
  const bool lvds = link.kind == model::LinkKind::kLvds;
  if (link.channels > output.channels_max) {
    bout.refuse(RefusalKind::kClock, "link.channels", std::to_string(link.channels),
                std::to_string(output.channels_max),
                phrase("the panel has ", link.channels, lvds ? " channels" : " lanes", "; it drives ",
                       output.channels_max));
  } else {
    match_clock(bout);
  }
  match_bits(bout);
}

}  // namespace host::expect
