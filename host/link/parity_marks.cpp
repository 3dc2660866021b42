#include "host/link/parity_marks.hpp"

namespace host::link {

const ParityMarks::Sound& ParityMarks::decode(protocol::base::Octets raw) {
  sound_.octets.clear();
  sound_.damage.clear();
  sound_.damaged.clear();
  for (const std::uint8_t octet : raw) {
    switch (state_) {
      case State::kPlain:
        if (octet == 0xFF) {
          state_ = State::kAfterFf;
        } else {
          sound_.octets.push_back(octet);
        }
        break;
      case State::kAfterFf:
        if (octet == 0x00) {
          state_ = State::kAfterFf00;
          break;
        }
        // A lone FF before anything else can't come from a terminal that marks: condemn, don't guess.
        if (octet == 0xFF) {
          sound_.octets.push_back(octet);
        } else {
          sound_.damage.push_back(sound_.octets.size());
          sound_.damaged.push_back(octet);
        }
        state_ = State::kPlain;
        break;
      case State::kAfterFf00:
        sound_.damage.push_back(sound_.octets.size());
        sound_.damaged.push_back(octet);
        state_ = State::kPlain;
        break;
    }
  }
  return sound_;
}

}  // namespace host::link
