#pragma once

#include <string>

#include "tests/fuzz/target.hpp"

namespace tests::fuzz {

/// A file that lives in memory, for readers that take a path.
class MemoryFile {
 public:
  explicit MemoryFile(Octets octets);
  ~MemoryFile();
  MemoryFile(const MemoryFile&) = delete;
  MemoryFile& operator=(const MemoryFile&) = delete;

  [[nodiscard]] std::string path() const { return "/proc/self/fd/" + std::to_string(fd_); }

 private:
  int fd_;
};

}  // namespace tests::fuzz
