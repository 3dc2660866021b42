#pragma once

#include <optional>
#include <string>

#include <tl/expected.hpp>

#include "host/model/kit.hpp"
#include "sim/port/options.hpp"
#include "sim/port/specimen.hpp"
#include "sim/port/state_file.hpp"

namespace sim::port {

/// Keeps one unit's memory in a state file while it runs.
class Keeping {
 public:
  explicit Keeping(const std::string& path) : file_{path} {}

  /// What a unit begins with.
  struct Start {
    std::optional<unit::Memory> memory;  // nothing: fresh from production
    bool lost = false;                   // there was a memory, and it can't be read: settings-lost
    std::string note;                    // for a person; empty when all is well
  };
  /// Errors   77 or 74: the file can't be read at all.
  [[nodiscard]] tl::expected<Start, Ending> start(const host::model::Kit& kit);

  /// Saves what has changed: at once what someone did, hours and minutes every kCountersEvery of the unit's
  /// time. Returns false when it can't be saved; said once.
  bool keep(const unit::Memory& memory, protocol::base::Instant now);
  /// Saves all.
  bool keep_all(const unit::Memory& memory);

  static constexpr auto kCountersEvery = protocol::base::milliseconds(60'000);

 private:
  bool save(const unit::Memory& memory);

  StateFile file_;
  std::optional<unit::Memory> saved_;
  protocol::base::Instant counters_due_{};
  bool complained_ = false;
};

}  // namespace sim::port
