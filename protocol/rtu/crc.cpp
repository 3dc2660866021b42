#include "protocol/rtu/crc.hpp"

#include "protocol/rtu/crc_table.hpp"

namespace protocol::rtu {

std::uint16_t crc16(base::Octets octets) {
  // 32 octets of table where every octet counts, 512 where there is an operating system: three times as fast.
#if __STDC_HOSTED__
  return crc16_by<8>(octets);
#else
  return crc16_by<4>(octets);
#endif
}

}  // namespace protocol::rtu
