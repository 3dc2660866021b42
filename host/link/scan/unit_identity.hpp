#pragma once

#include <cstdint>
#include <string>

#include "host/link/asker.hpp"
#include "host/link/sharing.hpp"

namespace host::link::scan {

/// Who answers at an address, as it says; texts are as they came, clean them before printing.
struct UnitIdentity {
  std::string serial, maker, model, firmware, profile, board;
  /// Whether two or more answer at once. Certain where a question had two answers that differ, or another
  /// serial number each time; twice where it had two that are alike; likely where what all units of a kind
  /// say alike came sound each time and what each says for itself came damaged each time, or where nothing
  /// sound ever came.
  Sharing sharing = Sharing::kNo;
};

/// Reads who answers at `unit`: identification objects, and the serial number three times.
/// Errors   as Asker::ask().
[[nodiscard]] Result<UnitIdentity> identify(Asker& asker, std::uint8_t unit,
                                            protocol::base::Duration patience);

}  // namespace host::link::scan
