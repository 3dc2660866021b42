#pragma once

#include <cstdint>
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

/// What a file is opened for.
enum class FileUse : std::uint8_t {
  kRead,
  kWrite,   ///< what is there stays until it is written over
  kCreate,  ///< as kWrite, and made where there is none
  kAppend   ///< at its end, and made where there is none
};

/// Opens `path`, but only an ordinary file: a serial port isn't touched at all, and
/// nothing waits for the other end of a pipe. Errors   the reason, with the errno it stands for.
[[nodiscard]] tl::expected<FileHandle, TraceError> open_ordinary(const std::string& path, FileUse use);

}  // namespace host::link::trace
