#include "protocol/mbap/decoder.hpp"

#include <algorithm>
#include <cassert>

namespace protocol::mbap {

namespace {

// Transaction, protocol, length: what has to be there to know how long the frame is.
constexpr std::size_t kPrefixSize = 6;

}  // namespace

void Decoder::reset() {
  size_ = 0;
  whole_ = lost_ = false;
}

Frame Decoder::frame() const {
  assert(whole_);
  return {base::read_be16(buffer_, 0), buffer_[6],
          base::Octets{buffer_.data() + kHeaderSize, size_ - kHeaderSize}};
}

Decoder::Outcome Decoder::push(base::Octets& octets) {
  if (lost_) {
    octets = {};
    return Outcome::kLost;
  }
  if (whole_) reset();
  while (!octets.empty()) {
    const bool length_known = size_ >= kPrefixSize;
    const std::size_t wanted = length_known ? kPrefixSize + length() : kPrefixSize;
    const std::size_t taken = std::min(wanted - size_, octets.size());
    std::copy_n(octets.begin(), taken, buffer_.begin() + static_cast<std::ptrdiff_t>(size_));
    octets = octets.subspan(taken);
    size_ += taken;
    if (size_ < wanted) break;
    if (!length_known) {
      if (length() >= kLengthMin && length() <= kLengthMax) continue;
      lost_ = true;
      octets = {};
      return Outcome::kLost;
    }
    whole_ = true;
    return base::read_be16(buffer_, 2) == 0 ? Outcome::kFrame : Outcome::kForeign;
  }
  return Outcome::kMore;
}

}  // namespace protocol::mbap
