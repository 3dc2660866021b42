#pragma once

#include <cstdint>
#include <string>

#include "host/link/scan/asker.hpp"

namespace host::link::scan {

/// Who answers at an address, as it says; texts are as they came, clean them before printing.
struct UnitIdentity {
  std::string serial, maker, model, firmware, profile, board;
  /// Two or more answer at once: what all units of a kind say alike came sound each time, what each says for
  /// itself came damaged each time, or was another each time.
  bool shared_address = false;
};

/// Reads who answers at `unit`: identification objects, and the serial number three times.
/// Errors   as Asker::ask().
[[nodiscard]] Result<UnitIdentity> identify(Asker& asker, std::uint8_t unit,
                                            protocol::base::Duration patience);

}  // namespace host::link::scan
