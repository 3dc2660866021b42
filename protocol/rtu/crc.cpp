#include "protocol/rtu/crc.hpp"

#include "protocol/rtu/crc_table.hpp"

namespace protocol::rtu {

std::uint16_t crc16(base::Octets octets) {
  // 32 octets of table where every octet counts, 4 KiB where there is an operating system.
#if __STDC_HOSTED__
  return crc16_by_blocks(octets);
#else
  return crc16_by<4>(octets);
#endif
}

}  // namespace protocol::rtu
