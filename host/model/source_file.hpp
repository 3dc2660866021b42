#pragma once

#include <cstddef>
#include <string>
#include <string_view>

#include "host/model/error.hpp"

namespace host::model {

inline constexpr std::size_t kFileSizeMax = 1024 * 1024;  // octets
inline constexpr int kNestingMax = 32;                    // tables and lists in each other
inline constexpr std::size_t kTextSizeMax = 256;          // octets of one key or text

/// A file of the catalogue as it was read, not yet understood.
struct SourceFile {
  std::string path;
  std::string text;

  /// Line n (from 1), cleaned for printing; empty when there is none.
  [[nodiscard]] std::string line(int n) const;

  /// An error in this file at a place in it.
  [[nodiscard]] FileError error(Place place, std::string what, std::string remedy = {}) const;
};

/// What to do about a path that names no ordinary file, or one that is too large.
struct SourceRemedies {
  std::string not_a_file = "name a .toml file";
  std::string too_large = "a catalogue file is a few KiB; split it or shorten it";
};

/// Reads a file whole.
///
/// Errors   kMissing: no such file. kUnreadable: no right to read it. kMalformed: a folder or a device,
///          more than kFileSizeMax.
[[nodiscard]] Loaded<SourceFile> read_source(const std::string& path, const SourceRemedies& remedies = {});

/// The text with every character that could harm a terminal, a line or a reader's eye (controls, tabs,
/// bidirectional marks, broken UTF-8) turned into one space or '?', so that columns stay.
[[nodiscard]] std::string clean(std::string_view text);

/// Octets of the character that text starts with, 1 to 4; 0 when they are no UTF-8.
/// Precondition: text is not empty.
[[nodiscard]] std::size_t utf8_size(std::string_view text);

}  // namespace host::model
