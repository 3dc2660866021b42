#pragma once

#include <optional>
#include <string>

#include <tl/expected.hpp>

#include "protocol/base/time.hpp"
#include "protocol/points/point.hpp"
#include "sim/script/act.hpp"
#include "sim/script/truth.hpp"
#include "sim/unit/unit.hpp"

namespace sim::script {

/// A unit as scripts and the control socket have it.
class Subject {
 public:
  virtual ~Subject() = default;
  Subject(const Subject&) = delete;
  Subject& operator=(const Subject&) = delete;

  /// Does something to the unit, at the time it has lived to. Errors   one sentence that says what would be
  /// right; then nothing was done.
  [[nodiscard]] virtual tl::expected<void, std::string> perform(const Act& act) = 0;

  /// What the firmware says of a point now.
  [[nodiscard]] virtual unit::Value value(protocol::points::Point point) const = 0;
  [[nodiscard]] virtual Truth truth() const = 0;

  /// Lives on until this time of its own, which never goes backwards.
  virtual void live_until(protocol::base::Instant until) = 0;

 protected:
  Subject() = default;
};

}  // namespace sim::script
