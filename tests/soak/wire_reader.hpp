#pragma once

#include "host/verify/reader.hpp"
#include "tests/soak/talk.hpp"

namespace tests::soak {

/// verify's reader, over a wire with faults.
class WireReader final : public host::verify::Reader {
 public:
  /// Both outlive it; `now` moves along.
  WireReader(Talk<protocol::session::AllGuards>& talk, Instant& now) : talk_{talk}, now_{now} {}

  host::link::Result<std::vector<std::uint16_t>> read(host::link::Table table, std::uint16_t address,
                                                      std::uint16_t count) override;
  host::link::Result<void> write(std::uint16_t address, std::span<const std::uint16_t> words) override;
  host::link::Result<host::link::DeviceObjects> identify() override;
  host::link::Result<std::vector<std::uint16_t>> read_files(
      std::span<const protocol::pdu::FileRecord> groups) override;
  [[nodiscard]] host::link::WireStatistics statistics() const override { return {talk_.statistics(), {}}; }
  [[nodiscard]] host::link::plan::LineCost line_cost() const override;

 private:
  Talk<protocol::session::AllGuards>& talk_;
  Instant& now_;
};

}  // namespace tests::soak
