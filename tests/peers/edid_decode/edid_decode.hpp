#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

namespace tests::edid_decode {

/// A timing as edid-decode prints it.
struct PrintedTiming {
  std::string kind;  // "CVT", "GTF", "DTD 1"
  long long columns = 0, lines = 0, clock_khz = 0;
  long long h_front = 0, h_sync = 0, h_back = 0;
  long long v_front = 0, v_sync = 0, v_back = 0;  // of the first field when interlaced
  bool h_positive = false, v_positive = false, interlaced = false;
};

struct Run {
  int exit_code = -1;
  std::string out;  // standard output, then standard error
};

/// Runs edid-decode with arguments.
Run run(const std::vector<std::string>& arguments);

/// Runs edid-decode --check on the bytes of an EDID: 0 when it conforms, 254 when not, 255 when it can't be
/// read.
Run check(std::span<const std::uint8_t> bytes);

/// Every timing in its output that is told with porches.
std::vector<PrintedTiming> timings_in(const std::string& out);

}  // namespace tests::edid_decode
