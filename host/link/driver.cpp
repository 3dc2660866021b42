#include "host/link/driver.hpp"

#include <sys/ioctl.h>
#include <sys/sysmacros.h>

namespace host::link {

int Driver::control(int fd, unsigned long request, void* argument) {
  return ::ioctl(fd, request, argument);
}

bool Driver::is_pseudo_terminal(dev_t device) {
  constexpr unsigned kMajorMin = 136;
  constexpr unsigned kMajorMax = 143;
  return major(device) >= kMajorMin && major(device) <= kMajorMax;
}

Driver& system_driver() {
  static Driver driver;
  return driver;
}

}  // namespace host::link
