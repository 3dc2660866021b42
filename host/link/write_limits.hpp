#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "protocol/pdu/request.hpp"

namespace host::link {

/// What a session may write: the registers that are named, each between its bounds. What isn't named never
/// leaves, whatever the unit itself would say to it.
class WriteLimits {
 public:
  /// Nothing at all.
  WriteLimits() = default;

  /// Everything, coils, restarts and cleared counters as well: for who tests a unit of their own.
  [[nodiscard]] static WriteLimits none();

  /// The holding register at the PDU address `address` may be set from `lowest` to `highest`.
  void allow(std::uint16_t address, std::uint16_t lowest, std::uint16_t highest);

  /// Why `request` must not leave, as one clause; nothing where it may. Reads may always. A mask write (16)
  /// may where every word is allowed, for what comes of it isn't known before. Of diagnostics (08) what
  /// restarts a unit, ends its answering or clears its counters is a write.
  [[nodiscard]] std::optional<std::string> refusal(const protocol::pdu::Request& request) const;

 private:
  struct Range {
    std::uint16_t address, lowest, highest;
  };
  [[nodiscard]] std::optional<std::string> refusal_of(std::uint16_t address, std::uint16_t lowest,
                                                      std::uint16_t highest) const;

  std::vector<Range> ranges_;
  bool limited_ = true;
};

}  // namespace host::link
