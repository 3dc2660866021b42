#include "host/link/trace/ordinary_file.hpp"

#include <cerrno>
#include <cstring>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

namespace host::link::trace {

namespace {

constexpr mode_t kMode = 0666;

// What speaks against an open file or one that is yet to be opened; 0 if nothing does.
int objection(const struct stat& file) {
  if (S_ISDIR(file.st_mode)) {
    return EISDIR;
  }
  return S_ISREG(file.st_mode) ? 0 : EINVAL;
}

int flags_of(FileUse use) {
  switch (use) {
    case FileUse::kRead: return O_RDONLY;
    case FileUse::kWrite: return O_WRONLY;
    case FileUse::kCreate: return O_WRONLY | O_CREAT;
    case FileUse::kAppend: break;
  }
  return O_WRONLY | O_APPEND | O_CREAT;
}

std::string words_of(int reason) {
  return reason == EINVAL ? "not an ordinary file" : std::strerror(reason);
}

}  // namespace

tl::expected<FileHandle, TraceError> open_ordinary(const std::string& path, FileUse use) {
  const bool reads = use == FileUse::kRead;
  const auto refused = [&](int reason) {
    return tl::unexpected{
        TraceError{(reads ? "can't read " : "can't create ") + path + ": " + words_of(reason), {}, reason}};
  };
  // Looked at before it is opened, for the opening alone moves a port's modem lines; and again after, for it
  // may be another by then.
  struct stat file{};
  if (::stat(path.c_str(), &file) == 0 && objection(file) != 0) {
    return refused(objection(file));
  }
  const int descriptor = ::open(path.c_str(), flags_of(use) | O_NONBLOCK | O_NOCTTY | O_CLOEXEC, kMode);
  if (descriptor < 0) {
    return refused(errno);
  }
  FileHandle handle{::fdopen(descriptor, reads ? "rb" : "wb")};
  if (handle == nullptr) {
    const int reason = errno;
    (void)::close(descriptor);
    return refused(reason);
  }
  if (::fstat(descriptor, &file) != 0) {
    return refused(errno);
  }
  if (const int reason = objection(file); reason != 0) {
    return refused(reason);
  }
  return handle;
}

}  // namespace host::link::trace
