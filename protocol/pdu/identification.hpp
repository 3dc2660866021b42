#pragma once

#include <cstdint>
#include <string_view>

#include "protocol/base/bytes.hpp"
#include "protocol/pdu/function.hpp"

namespace protocol::pdu {

/// One identification object. `text` views the response it came from; its bytes are whatever the board
/// sent, not checked to be text.
struct IdentificationObject {
  std::uint8_t id = 0;
  std::string_view text;
};

/// One answer to 2B/0E, viewed in place: valid as long as the octets it views.
///
///   2B 0E code conformity more next count { id length octets… } × count
///
/// Source  AP V1.1b3, 6.21.
class IdentificationPage {
 public:
  IdentificationPage() = default;

  /// Precondition: `pdu` passed is_identification().
  explicit IdentificationPage(base::Octets pdu) : pdu_{pdu} {}

  [[nodiscard]] std::uint8_t code() const { return pdu_[2]; }
  [[nodiscard]] std::uint8_t conformity() const { return pdu_[3]; }
  /// Another request, beginning at next_object(), is needed for the rest.
  [[nodiscard]] bool more_follows() const { return pdu_[4] == 0xFF; }
  [[nodiscard]] std::uint8_t next_object() const { return pdu_[5]; }
  [[nodiscard]] std::uint8_t count() const { return pdu_[6]; }

  /// The object at `index`, in the order sent. Precondition: index < count().
  [[nodiscard]] IdentificationObject object(std::uint8_t index) const;

 private:
  base::Octets pdu_;
};

/// Whether `pdu` is one whole 2B/0E answer whose objects fill it exactly.
[[nodiscard]] bool is_identification(base::Octets pdu);

}  // namespace protocol::pdu
