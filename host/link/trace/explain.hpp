#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "host/link/trace/record.hpp"
#include "protocol/base/bytes.hpp"
#include "protocol/pdu/request.hpp"
#include "protocol/points/reading.hpp"

namespace host::link::trace {

/// A point and what was read of it. Texts are as the unit sent them: clean them before printing.
struct PointValue {
  protocol::points::Point point{};
  protocol::points::Reading reading;
};

/// What one record means.
struct Meaning {
  /// One line: "unit 1: read input registers 0x1000..0x1077 (identity.serial … keypad.pressed)". An
  /// identification's texts are in it as the unit sent them: clean it before printing.
  std::string text;
  std::uint8_t unit = 0;           ///< 0 where there is none
  std::vector<PointValue> points;  ///< of an answer, those that it holds whole
};

/// Says what records mean, one after the other: an answer is understood by the request before it.
class Explainer {
 public:
  explicit Explainer(Carrier carrier) : carrier_{carrier} {}

  [[nodiscard]] Meaning explain(const Record& record);

 private:
  struct Asked {
    std::uint8_t unit = 0;
    std::vector<std::uint8_t> pdu;
    bool operator==(const Asked&) const = default;
  };
  [[nodiscard]] Meaning meaning_of(const Record& record);
  [[nodiscard]] Meaning request(std::uint8_t unit, protocol::base::Octets pdu);
  [[nodiscard]] Meaning response(std::uint8_t unit, protocol::base::Octets pdu);

  Carrier carrier_;
  std::optional<Asked> asked_;
};

/// The registers `count` from `address` on, of the table that `function` (3, 4) reads, as points: names of
/// the first and the last.
[[nodiscard]] std::string points_named(std::uint8_t function, std::uint16_t address, std::uint16_t count);

/// "3301 mV", "on", "asleep", or the text itself.
[[nodiscard]] std::string to_text(const PointValue& value);

}  // namespace host::link::trace
