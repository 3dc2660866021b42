#pragma once

#include <cstdint>
#include <vector>

#include "host/link/plan/cost.hpp"

namespace host::link::plan {

/// Registers of one table: `count` of them from `address` on.
struct Span {
  std::uint16_t address = 0;
  std::uint16_t count = 0;

  /// One past the last.
  [[nodiscard]] constexpr std::uint32_t end() const { return std::uint32_t{address} + count; }
  bool operator==(const Span&) const = default;
};

/// What is to be read of one table, and what stands in the way.
struct Wish {
  std::vector<Span> wanted;    ///< in any order; may touch and overlap
  std::vector<Span> readable;  ///< a block lies inside one of them; gaps are crossed nowhere else
  std::uint16_t count_max = protocol::pdu::kReadRegistersMax;  ///< 1..125
  std::uint16_t count_before = 0;  ///< of the read just before it, of the same function; 0: none
  /// Values of several registers, each wanted: none is parted between two reads, for it could change between
  /// them. Those that fit no read are.
  std::vector<Span> whole{};
};

/// The reads that bring all wanted registers in the least expected time, in ascending order of address.
///
/// No two in a row have the same number of registers, nor the first and `count_before`: an answer carries no
/// address, so equal neighbours could be taken for each other. Where that forces it a block takes a register
/// or two more, or a run is parted elsewhere; that is part of the time. Where even that is impossible (a
/// readable range of one register beside another) equal neighbours stay, and the session puts a read between
/// them.
///
/// Wanted registers outside every readable range are left out. Optimal among ascending orders:
/// tests/host/link/plan holds it against every such way on small maps.
[[nodiscard]] std::vector<Span> plan_reads(const Wish& wish, const ReadCosts& costs);

/// What `reads` are expected to take, in microseconds.
[[nodiscard]] double expected_time(const std::vector<Span>& reads, const ReadCosts& costs);

}  // namespace host::link::plan
