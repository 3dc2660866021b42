#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include <tl/expected.hpp>

namespace sim::port {

/// What a unit's memory chip holds, in a file that survives a kill at any instant.
///
/// Form     one line "strapline-state 1 GENERATION SIZE CRC", then SIZE octets. GENERATION counts saves; CRC
/// is
///          CRC-32 (ISO/IEC 8802-3) over generation and octets, in eight hexadecimal digits.
/// Saving   writes FILE.new and has it on the disk, moves FILE to FILE.old, then FILE.new to FILE. Whatever
///          ends the program, one of the three is whole and has what was saved last or the time before; the
///          whole one of the highest generation counts.
class StateFile {
 public:
  /// The most a memory may hold.
  static constexpr std::size_t kSizeMax = 256 * 1024;

  explicit StateFile(const std::string& path);

  struct Loaded {
    std::optional<std::string> octets;  // of the last save; nothing: there is none, or none is whole
    bool damaged = false;               // a file is there that isn't whole
  };
  /// Reads what was saved last. Errors   one sentence: it can't be read at all.
  [[nodiscard]] tl::expected<Loaded, std::string> load();

  /// Errors   one sentence; what was saved before is still there.
  [[nodiscard]] tl::expected<void, std::string> save(std::string_view octets);

  [[nodiscard]] std::uint64_t generation() const { return generation_; }

 private:
  std::string path_;
  std::uint64_t generation_ = 0;
};

/// CRC-32 of ISO/IEC 8802-3 (reflected EDB88320h, all ones before and after).
[[nodiscard]] std::uint32_t crc32(std::string_view octets);

}  // namespace sim::port
