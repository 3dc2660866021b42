#include "sim/line/uart.hpp"

#include <bit>

namespace sim::line {
namespace {

constexpr double kMillion = 1e6;

// The line as a transmitter leaves it, bit by bit.
class Waveform {
 public:
  Waveform(protocol::base::Octets octets, const CharacterFormat& format) : bit_us_{kMillion / format.baud} {
    for (const std::uint8_t octet : octets) {
      bits_.push_back(false);
      for (unsigned bit = 0; bit < 8; ++bit) bits_.push_back(((octet >> bit) & 1U) != 0);
      if (format.parity != Parity::kNone) bits_.push_back(parity_bit(octet, format.parity));
      bits_.insert(bits_.end(), format.stop_bits, true);
    }
  }

  // The level at a time; high before the first start bit and behind the last stop bit.
  [[nodiscard]] bool at(double us) const {
    if (us < 0) return true;
    const auto bit = static_cast<std::size_t>(us / bit_us_);
    return bit >= bits_.size() || bits_[bit];
  }

  // The next falling edge at or behind a time, or a negative number when there is none.
  [[nodiscard]] double falling_edge(double us) const {
    for (auto bit = static_cast<std::size_t>(us / bit_us_); bit < bits_.size(); ++bit) {
      const double edge = static_cast<double>(bit) * bit_us_;
      if (!bits_[bit] && (bit == 0 || bits_[bit - 1]) && edge >= us - bit_us_ / 1000) return edge;
    }
    return -1;
  }

 private:
  double bit_us_;
  std::vector<bool> bits_;
};

}  // namespace

bool parity_bit(std::uint8_t octet, Parity parity) {
  const bool odd_ones = std::popcount(octet) % 2 != 0;
  return parity == Parity::kEven ? odd_ones : !odd_ones;
}

std::vector<Heard> as_heard(protocol::base::Octets octets, const CharacterFormat& sent,
                            const CharacterFormat& heard) {
  const Waveform line{octets, sent};
  const double bit_us = kMillion / heard.baud;
  std::vector<Heard> all;
  double from = 0;
  for (;;) {
    const double edge = line.falling_edge(from);
    if (edge < 0) return all;
    double at = edge + bit_us / 2;
    if (line.at(at)) {  // a spike, no start bit
      from = at;
      continue;
    }
    Heard one;
    for (unsigned bit = 0; bit < 8; ++bit) {
      at += bit_us;
      if (line.at(at)) one.octet = static_cast<std::uint8_t>(one.octet | (1U << bit));
    }
    if (heard.parity != Parity::kNone) {
      at += bit_us;
      one.damaged = line.at(at) != parity_bit(one.octet, heard.parity);
    }
    at += bit_us;
    if (!line.at(at)) one.damaged = true;
    one.end_us = at;
    all.push_back(one);
    from = at;
  }
}

}  // namespace sim::line
