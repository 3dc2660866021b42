#include "tests/e2e/pty.hpp"

#include <array>
#include <cstdlib>
#include <cstring>
#include <stdexcept>

#include <fcntl.h>
#include <poll.h>
#include <termios.h>
#include <unistd.h>

namespace tests::e2e {

Pty::Pty() : master_{posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC)} {
  std::array<char, 128> name{};
  if (master_ < 0 || grantpt(master_) != 0 || unlockpt(master_) != 0 ||
      ptsname_r(master_, name.data(), name.size()) != 0) {
    throw std::runtime_error{"no pseudo-terminal"};
  }
  path_ = name.data();
  slave_ = open(path_.c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC);
  termios settings{};
  if (slave_ < 0 || tcgetattr(slave_, &settings) != 0) throw std::runtime_error{"can't open " + path_};
  cfmakeraw(&settings);
  tcsetattr(slave_, TCSANOW, &settings);
}

Pty::~Pty() {
  if (slave_ >= 0) close(slave_);
  if (master_ >= 0) close(master_);
}

bool Pty::heard_within(std::chrono::milliseconds limit) const {
  pollfd wait{master_, POLLIN, 0};
  return poll(&wait, 1, static_cast<int>(limit.count())) == 1 && (wait.revents & POLLIN) != 0;
}

std::vector<unsigned char> settings_of(int descriptor) {
  termios settings{};
  if (tcgetattr(descriptor, &settings) != 0) return {};
  std::vector<unsigned char> octets(sizeof settings);
  std::memcpy(octets.data(), &settings, sizeof settings);
  return octets;
}

}  // namespace tests::e2e
