#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include <tl/expected.hpp>

#include "host/link/trace/ordinary_file.hpp"
#include "host/link/trace/record.hpp"

namespace host::link::trace {

/// Reads a pcapng capture record by record. Holds one block at a time, 64 KiB at most, whatever the file
/// claims; blocks, interfaces and packets it has no use for are stepped over.
///
/// Source  PCAP Next Generation (pcapng) Capture File Format, 3.1, 4.1, 4.2, 4.3.
class Reader {
 public:
  /// Opens `path` and reads as far as the first interface.
  /// Errors   no such file, no right to it, no ordinary file (all with their errno); not a pcapng file.
  [[nodiscard]] static tl::expected<std::unique_ptr<Reader>, TraceError> open(const std::string& path);

  /// The next record; nothing at the end. Errors   a block that can't be; where in the file it is.
  [[nodiscard]] tl::expected<std::optional<Record>, TraceError> next();

  /// What was known before the first octet; nothing when this program didn't write the file.
  [[nodiscard]] const std::optional<Preamble>& preamble() const { return preamble_; }

  /// What the wire carries, by its first interface; nothing when the file has none of ours.
  [[nodiscard]] std::optional<Carrier> carrier() const { return carrier_; }

  /// Packets of other protocols that were stepped over.
  [[nodiscard]] std::uint64_t others() const { return others_; }

 private:
  struct Interface {
    std::uint16_t type = 0;
    std::uint64_t ticks_a_second = 1'000'000;
  };
  struct Block {
    std::uint32_t type = 0;
    std::vector<std::uint8_t> body;
  };
  Reader(FileHandle file, std::string path) : file_{std::move(file)}, path_{std::move(path)} {}

  [[nodiscard]] tl::expected<std::optional<Block>, TraceError> next_block();
  [[nodiscard]] std::optional<Record> packet(const std::vector<std::uint8_t>& body);
  void section(const std::vector<std::uint8_t>& body);
  [[nodiscard]] bool interface(const std::vector<std::uint8_t>& body);
  [[nodiscard]] std::uint32_t get(const std::vector<std::uint8_t>& octets, std::size_t at,
                                  std::size_t size) const;
  template <typename Take>
  void options(const std::vector<std::uint8_t>& body, std::size_t at, Take take) const;
  [[nodiscard]] TraceError broken(const std::string& what) const;

  FileHandle file_;
  std::string path_;
  std::uint64_t place_ = 0;  // of the next block
  bool big_endian_ = false;
  bool first_section_ = true;
  std::vector<Interface> interfaces_;
  std::optional<Preamble> preamble_;
  std::optional<Carrier> carrier_;
  std::uint64_t others_ = 0;
};

}  // namespace host::link::trace
