#include "host/link/trace/cutter.hpp"

#include <algorithm>

#include "protocol/rtu/frame.hpp"

namespace host::link::trace {

namespace {

using protocol::base::Octets;
using protocol::pdu::Length;

// Longer than any silence inside an answer, USB adapters' included; shorter than any wait for the next.
constexpr protocol::base::Duration kSilence = protocol::base::milliseconds(40);

bool whole(Octets octets, const Length& length) {
  return length.kind == Length::Kind::kKnown && octets.size() >= length.octets &&
         protocol::rtu::crc_holds(octets.first(length.octets));
}

}  // namespace

void Cutter::push(Octets octets, Instant now) {
  if (!held_.empty() && now - last_ > kSilence) {
    flush();
  }
  while (!octets.empty()) {
    if (held_.empty()) {
      first_ = now;
    }
    last_ = now;
    const Octets part = octets.first(std::min(octets.size(), protocol::rtu::kAduSizeMax));
    octets = octets.subspan(part.size());
    held_.insert(held_.end(), part.begin(), part.end());
    while (held_.size() >= protocol::rtu::kAduSizeMin) {
      const Length response = protocol::rtu::response_length(held_);
      const Length request = protocol::rtu::request_length(held_);
      if (whole(held_, response)) {
        hand_over(response.octets);
      } else if (whole(held_, request)) {
        hand_over(request.octets);
      } else {
        break;
      }
    }
    if (held_.size() > 2 * protocol::rtu::kAduSizeMax) {
      flush();
    }
  }
}

void Cutter::flush() {
  if (!held_.empty()) {
    hand_over(held_.size());
  }
}

void Cutter::hand_over(std::size_t count) {
  take_(Octets{held_}.first(count), first_, last_);
  held_.erase(held_.begin(), held_.begin() + static_cast<std::ptrdiff_t>(count));
  first_ = last_;
}

}  // namespace host::link::trace
