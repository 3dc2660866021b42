#include "protocol/pdu/response.hpp"

#include <algorithm>
#include <cassert>

#include "protocol/pdu/length.hpp"

namespace protocol::pdu {

namespace {

// A stream begins with the object asked for, or, when the board has no such object, from the start again;
// the latter is another page than the one asked and must not pass for it.
bool identifies(const Request& request, base::Octets pdu) {
  if (!is_identification(pdu)) return false;
  const IdentificationPage page{pdu};
  if (page.code() != request.count()) return false;
  if (page.count() == 0) return request.count() != static_cast<std::uint16_t>(ReadDeviceId::kIndividual);
  return page.object(0).id == request.address();
}

// Every group has the length that was asked, and the reference type.
bool has_groups(const Request& request, base::Octets pdu) {
  if (pdu.size() != request.answer_size_max() || pdu[1] != pdu.size() - 2) return false;
  const base::Octets asked = request.octets();
  std::size_t at = 2;
  for (std::size_t group = 2; group < asked.size(); group += kFileGroupSize) {
    const std::size_t octets = std::size_t{base::read_be16(asked, group + 5)} * 2;
    if (pdu[at] != octets + 1 || pdu[at + 1] != kFileReferenceType) return false;
    at += 2 + octets;
  }
  return true;
}

bool has_queue(base::Octets pdu) {
  if (pdu.size() < 5 || pdu.size() > 5 + std::size_t{kFifoWordsMax} * 2) return false;
  return base::read_be16(pdu, 1) == pdu.size() - 3 &&
         std::size_t{base::read_be16(pdu, 3)} * 2 == pdu.size() - 5;
}

bool same_head(const Request& request, base::Octets pdu) {
  return pdu.size() == 5 && std::equal(pdu.begin(), pdu.end(), request.octets().begin());
}

// Sub-functions of 08 that send something back send zero for it; the others come back as they were.
bool diagnosed(const Request& request, base::Octets pdu) {
  if (!same_head(request, pdu)) {
    const std::uint16_t function = request.address();
    const bool tells = function == 0x02 || (function >= 0x0B && function <= 0x12);
    return tells && pdu.size() == 5 && base::read_be16(pdu, 1) == function;
  }
  return true;
}

}  // namespace

Response::Response(base::Octets pdu) : size_{static_cast<std::uint16_t>(pdu.size())} {
  assert(pdu.size() <= kPduSizeMax);
  std::copy(pdu.begin(), pdu.end(), octets_.begin());
}

std::uint16_t Response::word_count() const {
  const auto function = static_cast<FunctionCode>(octets_[0]);
  if (size_ < 2) return 0;
  if (function != FunctionCode::kReadHoldingRegisters && function != FunctionCode::kReadInputRegisters &&
      function != FunctionCode::kReadWriteRegisters) {
    return 0;
  }
  return static_cast<std::uint16_t>((size_ - 2) / 2);
}

std::uint16_t Response::word(std::uint16_t index) const {
  assert(index < word_count());
  return base::read_be16(octets(), 2 + std::size_t{index} * 2);
}

bool Response::bit(std::uint16_t index) const {
  const auto function = static_cast<FunctionCode>(octets_[0]);
  const std::size_t at = 2 + std::size_t{index} / 8;
  if (function != FunctionCode::kReadCoils && function != FunctionCode::kReadDiscreteInputs) return false;
  return at < size_ && (octets_[at] >> (index % 8) & 1U) != 0;
}

bool Response::has_identification() const {
  return is_identification(octets());
}

IdentificationPage Response::identification() const {
  assert(has_identification());
  return IdentificationPage{octets()};
}

Match match(const Request& request, base::Octets pdu) {
  const auto function = static_cast<std::uint8_t>(request.function());
  if (pdu.empty() || (pdu[0] & ~kExceptionFlag) != function) return Match::kFunction;
  if ((pdu[0] & kExceptionFlag) != 0) return pdu.size() == 2 ? Match::kException : Match::kShape;
  bool answers = false;
  switch (request.function()) {
    case FunctionCode::kReadCoils:
    case FunctionCode::kReadDiscreteInputs:
    case FunctionCode::kReadHoldingRegisters:
    case FunctionCode::kReadInputRegisters:
    case FunctionCode::kReadWriteRegisters:
      answers = pdu.size() == request.answer_size_max() && pdu[1] == pdu.size() - 2;
      break;
    case FunctionCode::kReportServerId: answers = pdu.size() > 2 && pdu[1] == pdu.size() - 2; break;
    case FunctionCode::kReadFileRecord: answers = has_groups(request, pdu); break;
    case FunctionCode::kReadFifoQueue: answers = has_queue(pdu); break;
    case FunctionCode::kMaskWriteRegister:
      answers = std::equal(pdu.begin(), pdu.end(), request.octets().begin(), request.octets().end());
      break;
    case FunctionCode::kWriteMultipleCoils:
    case FunctionCode::kWriteSingleCoil:
    case FunctionCode::kWriteSingleRegister:
    case FunctionCode::kWriteMultipleRegisters: answers = same_head(request, pdu); break;
    case FunctionCode::kDiagnostics: answers = diagnosed(request, pdu); break;
    case FunctionCode::kEncapsulatedInterface: answers = identifies(request, pdu); break;
  }
  return answers ? Match::kAnswer : Match::kShape;
}

}  // namespace protocol::pdu
