#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <tl/expected.hpp>

#include "host/model/board.hpp"
#include "host/model/panel.hpp"
#include "host/report/document.hpp"
#include "host/report/json/value.hpp"

namespace host::expect {

/// What else a board is wanted for: "keypad", "scan-direction", "sensed-straps", "panel-current",
/// "event-log", "rs-485", "rs-232", "ttl".
struct FeatureWord {
  std::string_view name;
  std::string_view meaning;  // one sentence without a full stop
};
[[nodiscard]] std::span<const FeatureWord> features();

/// Kinds of input that can be wanted: "hdmi", "dvi", "vga", "displayport".
[[nodiscard]] std::span<const std::string_view> input_kinds();

/// What is wanted of a board besides the panel.
struct Wants {
  std::vector<std::string> inputs;    // kinds, each of them at least once
  std::vector<std::string> features;  // names of features()
};

/// Why a board can't drive the panel as wanted.
enum class RefusalKind { kElectrical, kClock, kBits, kInput, kFeature };
[[nodiscard]] std::string_view to_text(RefusalKind kind);  // "electrical"

struct Refusal {
  RefusalKind kind = RefusalKind::kElectrical;
  std::string subject;                   // "rails.panel"
  std::string needed, offered;           // "4.5..5.5 V", "3.3 V; 12 V"
  std::string reason;                    // one sentence
  std::optional<std::int64_t> permille;  // what it falls short by, of what is needed; negative
};

/// A figure with room to spare.
struct Headroom {
  std::string subject;          // "link.channel_clock"
  std::string needed, offered;  // "71 MHz", "85 MHz"
  std::int64_t permille = 0;    // of what is needed, from 0
};

/// One board held against the panel.
struct Match {
  std::string board, title;
  bool suits = false;
  std::vector<Refusal> refusals;  // in the order of their kinds
  std::vector<Headroom> headroom;
  std::int64_t narrowest_permille = 0;  // of the headroom; 0 when there is none
  std::vector<std::string> remarks;     // what has to be seen to: a supply of a window, a warning
};

struct Ranking {
  std::string panel, panel_title;
  Wants wants;
  std::vector<Match>
      matches;  // those that suit first, the widest headroom first; then by refusals, then by id
};

/// Holds every board against a panel. The panel's nominal pixel clock is what counts, else its lowest.
///
/// Errors   one sentence: an input kind or a feature that there isn't, with what there is.
[[nodiscard]] tl::expected<Ranking, std::string> match(const model::Panel& panel,
                                                       const std::vector<model::Board>& boards,
                                                       const Wants& wants);

/// The ranking to be read; and as JSON of the shape strapline/match/1 (match.schema.json).
[[nodiscard]] report::Document to_document(const Ranking& ranking);
[[nodiscard]] report::json::Value to_json(const Ranking& ranking);

}  // namespace host::expect
