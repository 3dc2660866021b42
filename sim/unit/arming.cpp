#include "sim/unit/arming.hpp"

#include <array>

#include "protocol/points/reading.hpp"
#include "protocol/session/arming.hpp"

namespace sim::unit {
namespace {

namespace points = protocol::points;

constexpr std::size_t kSerialWords = points::register_count(points::Type::kText16);

std::uint16_t expected_word(std::string_view serial, std::uint16_t boot) {
  std::array<std::uint16_t, kSerialWords> registers{};
  (void)points::encode_text(points::Point::kIdentitySerial, serial, registers);
  std::array<std::uint8_t, 2 * kSerialWords> octets{};
  for (std::size_t i = 0; i < kSerialWords; ++i) {
    octets[2 * i] = static_cast<std::uint8_t>(registers[i] >> 8);
    octets[2 * i + 1] = static_cast<std::uint8_t>(registers[i] & 0xFFU);
  }
  return protocol::session::arming_word(octets, boot);
}

}  // namespace

bool Arming::written(std::uint16_t word, std::string_view serial, std::uint16_t boot,
                     protocol::base::Instant now) {
  armed_.reset();
  if (word == protocol::session::kDisarm) return true;
  if (word != expected_word(serial, boot)) return false;
  armed_ = Armed{word, boot, now, now};
  return true;
}

void Arming::heard(std::uint16_t boot, protocol::base::Instant now) {
  if (word(boot, now) == 0) {
    armed_.reset();
  } else {
    armed_->heard = now;
  }
}

std::uint16_t Arming::word(std::uint16_t boot, protocol::base::Instant now) const {
  const bool holds =
      armed_ && armed_->boot == boot && now - armed_->at < kArmedFor && now - armed_->heard < kSilence;
  return holds ? armed_->word : std::uint16_t{0};
}

}  // namespace sim::unit
