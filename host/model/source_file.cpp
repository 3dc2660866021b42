#include "host/model/source_file.hpp"

#include <cerrno>
#include <filesystem>
#include <fstream>
#include <system_error>
#include <utility>

namespace host::model {
namespace {

FileError whole_file(FileError::Kind kind, const std::string& path, std::string what, std::string remedy) {
  return {.kind = kind,
          .path = path,
          .place = {},
          .line_text = {},
          .what = std::move(what),
          .remedy = std::move(remedy)};
}

FileError cannot_read(const std::string& path, std::error_code why) {
  if (why == std::errc::permission_denied) {
    return whole_file(FileError::Kind::kUnreadable, path, "no right to read this file",
                      "give yourself the right (chmod +r), or ask its owner");
  }
  if (why == std::errc::no_such_file_or_directory || why == std::errc::not_a_directory) {
    return whole_file(FileError::Kind::kMissing, path, "no such file", "check the path");
  }
  return whole_file(FileError::Kind::kUnreadable, path, "can't be read: " + why.message(),
                    "check the disk and the path");
}

/// Code point of a sound character of `size` octets.
std::uint32_t code_point(std::string_view text, std::size_t size) {
  const auto octet = [&](std::size_t n) {
    return static_cast<std::uint32_t>(static_cast<unsigned char>(text[n]));
  };
  if (size == 1) return octet(0);
  std::uint32_t code = octet(0) & (0x7FU >> size);
  for (std::size_t n = 1; n < size; ++n) code = (code << 6U) | (octet(n) & 0x3FU);
  return code;
}

bool unsafe(std::uint32_t code) {
  return code < 0x20 || (code >= 0x7F && code < 0xA0) || (code >= 0x200B && code <= 0x200F) ||
         (code >= 0x2028 && code <= 0x202E) || (code >= 0x2066 && code <= 0x2069) || code == 0xFEFF;
}

}  // namespace

std::size_t utf8_size(std::string_view text) {
  const auto octet = [&](std::size_t n) { return static_cast<unsigned char>(text[n]); };
  if (octet(0) < 0x80) return 1;
  std::size_t size = 0;
  if (octet(0) >= 0xC2 && octet(0) < 0xE0) size = 2;
  if (octet(0) >= 0xE0 && octet(0) < 0xF0) size = 3;
  if (octet(0) >= 0xF0 && octet(0) < 0xF5) size = 4;
  if (size == 0 || text.size() < size) return 0;
  for (std::size_t n = 1; n < size; ++n) {
    if ((octet(n) & 0xC0U) != 0x80) return 0;
  }
  const std::uint32_t code = code_point(text, size);
  const bool overlong = (size == 3 && code < 0x800) || (size == 4 && code < 0x10000);
  const bool surrogate = code >= 0xD800 && code < 0xE000;
  return overlong || surrogate || code > 0x10FFFF ? 0 : size;
}

std::string clean(std::string_view text) {
  std::string cleaned;
  cleaned.reserve(text.size());
  while (!text.empty()) {
    const std::size_t size = utf8_size(text);
    if (size == 0) {
      cleaned += '?';
      text.remove_prefix(1);
      continue;
    }
    if (text[0] == '\t') {
      cleaned += ' ';
    } else if (unsafe(code_point(text, size))) {
      cleaned += '?';
    } else {
      cleaned += text.substr(0, size);
    }
    text.remove_prefix(size);
  }
  return cleaned;
}

std::string SourceFile::line(int n) const {
  std::size_t begin = 0;
  for (int at = 1; at < n; ++at) {
    const std::size_t end = text.find('\n', begin);
    if (end == std::string::npos) return {};
    begin = end + 1;
  }
  std::string_view found = std::string_view(text).substr(begin, text.find('\n', begin) - begin);
  if (found.ends_with('\r')) found.remove_suffix(1);
  return n < 1 ? std::string() : clean(found);
}

FileError SourceFile::error(Place place, std::string what, std::string remedy) const {
  return {.kind = FileError::Kind::kMalformed,
          .path = path,
          .place = place,
          .line_text = line(place.line),
          .what = std::move(what),
          .remedy = std::move(remedy)};
}

Loaded<SourceFile> read_source(const std::string& path, const SourceRemedies& remedies) {
  namespace fs = std::filesystem;
  std::error_code why;
  const fs::file_status status = fs::status(path, why);
  if (!fs::exists(status)) {
    const auto missing = std::make_error_code(std::errc::no_such_file_or_directory);
    return tl::unexpected(FileErrors{cannot_read(path, why ? why : missing)});
  }
  if (!fs::is_regular_file(status)) {  // a pipe or a device could keep us waiting
    return tl::unexpected(FileErrors{
        whole_file(FileError::Kind::kMalformed, path,
                   fs::is_directory(status) ? "is a folder, not a file" : "is not an ordinary file",
                   remedies.not_a_file)});
  }
  errno = 0;
  std::ifstream stream(path, std::ios::binary);
  if (!stream) {
    return tl::unexpected(FileErrors{cannot_read(path, {errno == 0 ? EIO : errno, std::generic_category()})});
  }
  std::string text(kFileSizeMax + 1, '\0');
  stream.read(text.data(), static_cast<std::streamsize>(text.size()));
  if (stream.bad()) {
    return tl::unexpected(FileErrors{cannot_read(path, {EIO, std::generic_category()})});
  }
  text.resize(static_cast<std::size_t>(stream.gcount()));
  if (text.size() > kFileSizeMax) {
    return tl::unexpected(FileErrors{
        whole_file(FileError::Kind::kMalformed, path, "is larger than 1 MiB", remedies.too_large)});
  }
  return SourceFile{.path = path, .text = std::move(text)};
}

}  // namespace host::model
