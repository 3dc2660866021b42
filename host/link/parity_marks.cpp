#include "host/link/parity_marks.hpp"

namespace host::link {

ParityMarks::Sound ParityMarks::decode(protocol::base::Octets raw) {
  Sound sound;
  sound.octets.reserve(raw.size());
  for (const std::uint8_t octet : raw) {
    switch (state_) {
      case State::kPlain:
        if (octet == 0xFF) {
          state_ = State::kAfterFf;
        } else {
          sound.octets.push_back(octet);
        }
        break;
      case State::kAfterFf:
        if (octet == 0x00) {
          state_ = State::kAfterFf00;
          break;
        }
        // A lone FF before anything else can't come from a terminal that marks: condemn, don't guess.
        if (octet == 0xFF) {
          sound.octets.push_back(octet);
        } else {
          sound.damage.push_back(sound.octets.size());
        }
        state_ = State::kPlain;
        break;
      case State::kAfterFf00:
        sound.damage.push_back(sound.octets.size());
        state_ = State::kPlain;
        break;
    }
  }
  return sound;
}

}  // namespace host::link
