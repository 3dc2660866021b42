#include "sim/line/line.hpp"

#include <algorithm>

namespace sim::line {
namespace {

using protocol::base::Instant;
using protocol::base::Octets;

std::vector<std::uint8_t> arrived(world::EventQueue<std::vector<std::uint8_t>>& queue, Instant now) {
  std::vector<std::uint8_t> octets;
  while (const auto piece = queue.pop(now)) octets.insert(octets.end(), piece->begin(), piece->end());
  return octets;
}

}  // namespace

Line::Piece Line::disturbed(Octets octets) {
  Piece piece{octets.begin(), octets.end()};
  if (noise_.bit_errors <= 0) return piece;
  for (std::uint8_t& octet : piece) {
    for (unsigned bit = 0; bit < 8; ++bit) {
      if (!random_.chance(noise_.bit_errors)) continue;
      octet = static_cast<std::uint8_t>(octet ^ (1U << bit));
      ++hits_.bits_flipped;
    }
  }
  return piece;
}

void Line::from_host(Octets octets, Instant now) {
  if (octets.empty()) return;
  if (noise_.echo) {
    to_host_.schedule(now, Piece{octets.begin(), octets.end()});
    hits_.octets_echoed += octets.size();
  }
  to_unit_.schedule(now, disturbed(octets));
}

void Line::from_unit(Octets answer, Instant now) {
  if (noise_.drop > 0 && random_.chance(noise_.drop)) {
    ++hits_.answers_dropped;
    return;
  }
  if (noise_.delay > protocol::base::Duration{}) ++hits_.answers_delayed;
  to_host_.schedule(now + noise_.delay, disturbed(answer));
  if (noise_.doubled > 0 && random_.chance(noise_.doubled)) {
    to_host_.schedule(now + noise_.delay, disturbed(answer));
    ++hits_.answers_doubled;
  }
}

std::vector<std::uint8_t> Line::at_unit(Instant now) {
  return arrived(to_unit_, now);
}

std::vector<std::uint8_t> Line::at_host(Instant now) {
  return arrived(to_host_, now);
}

std::optional<Instant> Line::next() const {
  const auto unit = to_unit_.next();
  const auto host = to_host_.next();
  if (!unit || !host) return unit ? unit : host;
  return std::min(*unit, *host);
}

void Line::clear() {
  to_unit_.clear();
  to_host_.clear();
}

}  // namespace sim::line
