#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include <tl/expected.hpp>

#include "host/cli/output.hpp"
#include "host/signal/edid.hpp"

namespace host::cli {

/// An EDID as a file had it: what could be read, everything wrong with octets and values.
struct EdidFile {
  signal::Edid edid;
  std::vector<signal::EdidFault> faults;

  [[nodiscard]] bool fails() const;  // some fault breaks the standard
};

/// The octets of an EDID as a file has them, whatever they hold. `path` is a file, or "-" for standard input.
/// Errors  kNoInput, kPermission, kInputOutput: it can't be read. kData: text that isn't hexadecimal (line
/// and
///         column), or more than an EDID can have.
[[nodiscard]] tl::expected<std::vector<std::uint8_t>, Failure> edid_octets(const std::string& path);

/// Reads and judges an EDID.
/// Errors  those of edid_octets; kData: no whole first block with its header.
[[nodiscard]] tl::expected<EdidFile, Failure> edid_file(const std::string& path);

}  // namespace host::cli
