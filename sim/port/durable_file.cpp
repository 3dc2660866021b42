#include "sim/port/durable_file.hpp"

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <system_error>

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

namespace sim::port {
namespace {

tl::unexpected<std::string> failed(const std::string& path) {
  return tl::unexpected(path + ": " + std::strerror(errno));  // NOLINT(concurrency-mt-unsafe): one thread
}

bool write_all(int fd, std::string_view octets) {
  while (!octets.empty()) {
    const ssize_t put = ::write(fd, octets.data(), octets.size());
    if (put < 0 && errno == EINTR) continue;
    if (put <= 0) return false;
    octets.remove_prefix(static_cast<std::size_t>(put));
  }
  return true;
}

// A new name is on the disk once its folder is.
void sync_folder(const std::string& path) {
  const std::size_t slash = path.rfind('/');
  const std::string folder = slash == std::string::npos ? "." : slash == 0 ? "/" : path.substr(0, slash);
  const int fd = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (fd < 0) return;
  (void)::fsync(fd);
  ::close(fd);
}

}  // namespace

std::string end_of_link(const std::string& path) {
  std::error_code error;
  auto end = std::filesystem::canonical(path, error);
  return error ? path : end.string();
}

bool is_ordinary_or_new(const std::string& path) {
  struct stat info = {};
  return ::stat(path.c_str(), &info) != 0 || S_ISREG(info.st_mode);
}

tl::expected<void, std::string> replace_file(const std::string& given, std::string_view octets,
                                             Durable durable) {
  // A rename would put a file in the place of a device that everybody uses.
  if (!is_ordinary_or_new(given)) return tl::unexpected(given + ": not an ordinary file");
  const std::string path = end_of_link(given);
  const std::string beside = path + ".new";
  const int fd = ::open(beside.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_NOFOLLOW | O_CLOEXEC, 0644);
  if (fd < 0) return failed(beside);
  const bool written = write_all(fd, octets) && (durable == Durable::kNo || ::fsync(fd) == 0);
  const int error = errno;
  ::close(fd);
  if (!written || ::rename(beside.c_str(), path.c_str()) != 0) {
    if (!written) errno = error;
    const auto why = failed(path);
    ::unlink(beside.c_str());
    return why;
  }
  if (durable == Durable::kYes) sync_folder(path);
  return {};
}

}  // namespace sim::port
