#include <algorithm>
#include <numeric>

#include "host/signal/edid_check.hpp"
#include "host/signal/edid_fields.hpp"
#include "host/signal/edid_read.hpp"
#include "host/signal/edid_text.hpp"
#include "host/signal/edid_write.hpp"
#include "tests/fuzz/promises.hpp"
#include "tests/fuzz/targets.hpp"

namespace tests::fuzz {
namespace {

using host::signal::EdidFault;
using host::signal::kEdidBlockSize;

void hold_faults(const std::vector<EdidFault>& faults, std::size_t size) {
  for (const EdidFault& fault : faults) {
    must(fault.offset <= size, "a fault stands in the EDID");
    must(!fault.found.empty() && !fault.right.empty(), "a fault says what is found and what is right");
    must(is_one_clean_line(fault.found) && is_one_clean_line(fault.right), "in clean lines");
  }
}

}  // namespace

void edid(Octets input) {
  const auto reading = host::signal::read_edid(input);
  hold_faults(reading.faults, input.size());
  if (!reading.edid) return must(!reading.faults.empty(), "who can't read an EDID says why");
  const auto written = host::signal::write_edid(*reading.edid);
  must(written.has_value(), "what was read fits its fields");
  std::vector<std::uint8_t> mended{
      input.begin(),
      input.begin() + static_cast<std::ptrdiff_t>(input.size() / kEdidBlockSize * kEdidBlockSize)};
  for (std::size_t at = 0; at < mended.size(); at += kEdidBlockSize) {
    const auto block = std::span{mended}.subspan(at, kEdidBlockSize);
    const unsigned sum = std::accumulate(block.begin(), block.end() - 1, 0U);
    block.back() = static_cast<std::uint8_t>(0U - sum);
  }
  must(*written == mended, "an EDID is written as it was read, its checksums mended");
  const auto again = host::signal::read_edid(*written);
  must(again.edid == reading.edid, "and read again");
  must(host::signal::diff_edids(*reading.edid, *again.edid).empty(), "without a difference");
  hold_faults(host::signal::check_edid(*reading.edid), input.size() + kEdidBlockSize);
  for (const auto& field : host::signal::edid_fields(*reading.edid)) {
    must(!field.name.empty() && field.offset < mended.size(), "a field stands in the EDID");
  }
}

void edid_file(Octets input) {
  const auto bytes = host::signal::parse_edid_file(text_of(input));
  if (!bytes) return must(is_one_clean_line(bytes.error()), "who refuses a file says why in one clean line");
  must(bytes->size() <= 32'768, "a file holds no more than it may");
  if (bytes->empty()) return;
  const auto again = host::signal::parse_edid_file(host::signal::edid_file_text(*bytes));
  must(again && *again == *bytes, "an EDID written as text is read back");
}

}  // namespace tests::fuzz
