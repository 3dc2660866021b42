#pragma once

#include <cstdio>
#include <memory>
#include <string>

#include <tl/expected.hpp>

#include "host/link/trace/record.hpp"

namespace host::link::trace {

struct CloseFile {
  void operator()(std::FILE* file) const { std::fclose(file); }
};
using FileHandle = std::unique_ptr<std::FILE, CloseFile>;

/// Opens `path` by the flags of open(2), but only an ordinary file: a serial port isn't touched at all, and
/// nothing waits for the other end of a pipe. Errors   the reason, with the errno it stands for.
[[nodiscard]] tl::expected<FileHandle, TraceError> open_ordinary(const std::string& path, int flags);

}  // namespace host::link::trace
