#include "protocol/pdu/identification.hpp"

#include "protocol/pdu/length.hpp"

namespace protocol::pdu {

namespace {
constexpr std::size_t kHeaderSize = 7;
}

IdentificationObject IdentificationPage::object(std::uint8_t index) const {
  std::size_t at = kHeaderSize;
  for (std::uint8_t i = 0; i < index; ++i) at += std::size_t{2} + pdu_[at + 1];
  // char may alias any object, so viewing the octets as text is allowed.
  const auto* text = reinterpret_cast<const char*>(pdu_.data() + at + 2);
  return {pdu_[at], std::string_view{text, pdu_[at + 1]}};
}

bool is_identification(base::Octets pdu) {
  if (pdu.size() < kHeaderSize) return false;
  if (pdu[0] != static_cast<std::uint8_t>(FunctionCode::kEncapsulatedInterface)) return false;
  return response_length(pdu) == Length{Length::Kind::kKnown, pdu.size()};
}

}  // namespace protocol::pdu
