#include "tests/host/link/fake_driver.hpp"

#include <cerrno>

#include <asm/termbits.h>
#include <sys/ioctl.h>

namespace {

int refused(int error) {
  errno = error;
  return -1;
}

template <typename T>
int told(const std::optional<T>& kept, void* argument) {
  if (!kept) return refused(ENOTTY);
  *static_cast<T*>(argument) = *kept;
  return 0;
}

}  // namespace

const unsigned long FakeDriver::kReadSettings = TCGETS2;
const unsigned long FakeDriver::kWriteSettings = TCSETS2;

int FakeDriver::control(int fd, unsigned long request, void* argument) {
  requests.push_back(request);
  switch (request) {
    case TIOCGRS485: return told(rs485, argument);
    case TIOCSRS485: {
      if (!rs485) return refused(ENOTTY);
      rs485 = *static_cast<const serial_rs485*>(argument);
      rs485_asked.push_back(rs485->flags);
      rs485->flags &= ~rs485_ignores;
      return 0;
    }
    case TIOCGSERIAL: return told(serial, argument);
    case TIOCSSERIAL: {
      const auto& wanted = *static_cast<const serial_struct*>(argument);
      serial_set.push_back(wanted.flags);
      if (!serial || serial_refuses != 0) return refused(serial ? serial_refuses : ENOTTY);
      serial = wanted;
      return 0;
    }
    case TIOCGICOUNT: return told(counts, argument);
    case TCGETS2: {
      const int result = Driver::control(fd, request, argument);
      auto& settings = *static_cast<termios2*>(argument);
      // A speed without a name is one that was asked for here.
      if (runs_at && (settings.c_cflag & CBAUD) == BOTHER) settings.c_ospeed = *runs_at;
      if (drops_marks) settings.c_iflag &= ~static_cast<tcflag_t>(PARMRK);
      return result;
    }
    default: return Driver::control(fd, request, argument);
  }
}
