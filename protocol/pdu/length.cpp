#include "protocol/pdu/length.hpp"

#include "protocol/pdu/function.hpp"

namespace protocol::pdu {

namespace {

constexpr int kUnknown = 0;
constexpr std::uint8_t kIdentification = 0x2B;
constexpr std::uint8_t kFifo = 0x18;

constexpr int more(unsigned octets) {
  return -static_cast<int>(octets);
}

constexpr int known(unsigned octets) {
  return octets <= kPduSizeMax ? static_cast<int>(octets) : kUnknown;
}

// How long requests and responses of the functions below 19h are: the low half is the fixed part, the high
// half the place of the octet that counts what follows it, if any. 0: unknown, or told apart below.
constexpr std::uint8_t kRequests[] = {0, 0x05, 0x05, 0x05, 0x05, 0x05, 0x05, 0x01, 0x05,
                                      0, 0,    0x01, 0x01, 0,    0,    0x56, 0x56, 0x01,
                                      0, 0,    0x12, 0x12, 0x07, 0x9A, 0x03};
constexpr std::uint8_t kResponses[] = {0, 0x12, 0x12, 0x12, 0x12, 0x05, 0x05, 0x02, 0x05,
                                       0, 0,    0x05, 0x12, 0,    0,    0x05, 0x05, 0x12,
                                       0, 0,    0x12, 0x12, 0x07, 0x12, 0};

int by_table(base::Octets pdu, const std::uint8_t* table) {
  const unsigned rule = pdu[0] < sizeof kRequests ? table[pdu[0]] : 0U;
  const unsigned fixed = rule & 0xFU;
  const unsigned count_at = rule >> 4U;
  if (count_at == 0) return known(fixed);
  return pdu.size() > count_at ? known(fixed + pdu[count_at]) : more(count_at + 1);
}

// Objects carry their own lengths, so an identification is walked from one to the next.
int identification(base::Octets pdu) {
  unsigned at = 7;
  if (pdu.size() >= 2 && pdu[1] != kMeiDeviceIdentification) return kUnknown;
  if (pdu.size() < at) return more(at);
  for (unsigned objects = pdu[6]; objects > 0; --objects) {
    if (at + 2 > kPduSizeMax) return kUnknown;
    if (pdu.size() < at + 2) return more(at + 2);
    at += 2U + pdu[at + 1];
  }
  return known(at);
}

}  // namespace

int request_size(base::Octets pdu) {
  if (pdu.empty()) return more(1);
  if (pdu[0] != kIdentification) return by_table(pdu, kRequests);
  if (pdu.size() < 2) return more(2);
  return pdu[1] == kMeiDeviceIdentification ? known(4) : kUnknown;
}

int response_size(base::Octets pdu) {
  if (pdu.empty()) return more(1);
  if ((pdu[0] & kExceptionFlag) != 0) return known(2);
  if (pdu[0] == kIdentification) return identification(pdu);
  if (pdu[0] != kFifo) return by_table(pdu, kResponses);
  return pdu.size() < 3 ? more(3) : known(3U + ((unsigned{pdu[1]} << 8) | pdu[2]));
}

}  // namespace protocol::pdu
