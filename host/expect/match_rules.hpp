#pragma once

#include "host/expect/match.hpp"

namespace host::expect {

/// One board against one panel, being judged.
struct Bout {
  const model::Panel& panel;
  const model::Board& board;
  Match result;

  void refuse(RefusalKind kind, std::string subject, std::string needed, std::string offered,
              std::string reason, std::optional<std::int64_t> permille = {});
  /// Holds what is needed against what is offered at most; refuses when it is more. Precondition: needed > 0.
  void hold(RefusalKind kind, std::string subject, std::int64_t needed, std::int64_t offered,
            std::string needed_text, std::string offered_text, std::string reason);
};

/// Rails, enable level and dimming.
void match_electrical(Bout& bout);
/// Kind, channels and clock of the panel link; bit mapping and raster.
void match_link(Bout& bout);
/// Inputs and features.
void match_wants(Bout& bout, const Wants& wants);

/// The pixel clock to be driven: the panel's nominal one, else its lowest, else its highest.
[[nodiscard]] model::Hertz wanted_clock(const model::Panel& panel);

}  // namespace host::expect
