#include "tests/fuzz/memory_file.hpp"

#include <sys/mman.h>
#include <unistd.h>

namespace tests::fuzz {

MemoryFile::MemoryFile(Octets octets) : fd_{::memfd_create("fuzz", MFD_CLOEXEC)} {
  must(fd_ >= 0 && ::write(fd_, octets.data(), octets.size()) == static_cast<ssize_t>(octets.size()),
       "the system has files in memory");
}

MemoryFile::~MemoryFile() {
  ::close(fd_);
}

}  // namespace tests::fuzz
