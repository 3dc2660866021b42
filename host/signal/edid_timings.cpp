#include "host/signal/edid_timings.hpp"

#include <algorithm>
#include <utility>

#include "host/signal/cvt.hpp"
#include "host/signal/find_timing.hpp"
#include "host/signal/gtf.hpp"
#include "host/signal/timing_table.hpp"

namespace host::signal {
namespace {

// Bits 7 to 0 of the bytes 23h and 24h, bit 7 of 25h. Positive: a DMT id, negative: the number of an older
// timing.
constexpr std::array<int, 17> kEstablished = {-1,   -2, 0x04, -3,   0x05, 0x06, 0x08, 0x09, 0x0A,
                                              0x0B, -4, 0x0F, 0x10, 0x11, 0x12, 0x24, -5};

ListedTiming established(std::size_t index) {
  const int number = kEstablished.at(index);
  const auto table = number > 0 ? dmt_timings() : legacy_timings();
  const auto row = std::ranges::find(table, std::abs(number), &StandardTiming::number);
  const model::Timing timing = to_timing(*row);
  const std::int64_t rate = (timing.refresh().count * (timing.interlaced ? 2 : 1) + 500) / 1000;
  return {"established " + std::to_string(timing.h_active.count) + " x " +
              std::to_string(timing.v_active.count) + (timing.interlaced ? "i @ " : " @ ") +
              std::to_string(rate) + " Hz",
          timing, 0x23 + index / 8};
}

void add_detailed(std::vector<ListedTiming>& list, const Descriptor& descriptor, std::size_t offset) {
  const auto* detailed = std::get_if<DetailedTiming>(&descriptor);
  if (detailed == nullptr) return;
  const model::Timing& timing = detailed->timing;
  list.push_back({"detailed " + std::to_string(timing.h_active.count) + " x " +
                      std::to_string(timing.v_active.count) + (timing.interlaced ? "i" : ""),
                  timing, offset});
}

void add_cta(std::vector<ListedTiming>& list, const CtaExtension& cta, std::size_t at) {
  std::size_t position = at + 4;
  for (const DataBlock& block : cta.blocks) {
    for (std::size_t i = 0; block.tag == kVideoTag && i < block.payload.size(); ++i) {
      const auto code = video_code(block.payload[i]);
      if (!code) continue;
      const auto row = std::ranges::find(cta_timings(), code->code, &StandardTiming::number);
      if (row == cta_timings().end()) continue;
      list.push_back({"cta " + std::to_string(code->code), to_timing(*row), position + 1 + i});
    }
    position += 1 + block.payload.size();
  }
  for (const Descriptor& descriptor : cta.descriptors) {
    add_detailed(list, descriptor, position);
    position += kDescriptorSize;
  }
}

}  // namespace

std::optional<StandardCode> standard_code(std::uint16_t code) {
  if (code == 0x0101 || code >> 8 == 0) return std::nullopt;
  constexpr std::array<std::pair<int, int>, 4> kAspects = {{{16, 10}, {4, 3}, {5, 4}, {16, 9}}};
  const auto [across, down] = kAspects.at(code >> 6 & 3U);
  StandardCode result;
  result.columns = ((code >> 8) + 31) * 8;
  result.lines = result.columns * down / across;
  result.rate_hz = (code & 63) + 60;
  return result;
}

std::optional<model::Timing> timing_of(const StandardCode& code, int revision) {
  for (const StandardTiming& row : dmt_timings()) {
    const model::Timing timing = to_timing(row);
    const bool reduced =
        row.h_active + 160 >= timing.h_total().count && row.h_front == 48 && row.h_sync == 32;
    if (row.h_active == code.columns && row.v_active == code.lines && !reduced && !row.interlaced &&
        (timing.refresh().count + 500) / 1000 == code.rate_hz) {
      return timing;
    }
  }
  const model::Pixels columns{code.columns};
  const model::Pixels lines{code.lines};
  const model::Millihertz rate{std::int64_t{code.rate_hz} * 1000};
  const auto computed = revision >= 4 ? cvt({columns, lines, rate, Blanking::kStandard, false, false})
                                      : gtf({columns, lines, rate, false});
  if (!computed) return std::nullopt;
  return *computed;
}

std::optional<VideoCode> video_code(std::uint8_t byte) {
  if (byte == 0 || byte == 128 || byte >= 254) return std::nullopt;
  if (byte > 128 && byte <= 192) return VideoCode{byte - 128, true};
  return VideoCode{byte, false};
}

std::vector<ListedTiming> listed_timings(const Edid& edid) {
  std::vector<ListedTiming> list;
  for (std::size_t i = 0; i < kEstablished.size(); ++i) {
    if ((edid.established.at(i / 8) >> (7 - i % 8) & 1) != 0) list.push_back(established(i));
  }
  for (std::size_t i = 0; i < edid.standard.size(); ++i) {
    const auto code = standard_code(edid.standard[i]);
    if (!code) continue;
    if (const auto timing = timing_of(*code, edid.revision)) {
      list.push_back({"standard " + std::to_string(code->columns) + " x " + std::to_string(code->lines) +
                          " @ " + std::to_string(code->rate_hz) + " Hz",
                      *timing, 0x26 + 2 * i});
    }
  }
  for (std::size_t i = 0; i < edid.descriptors.size(); ++i) {
    add_detailed(list, edid.descriptors[i], kDescriptorsAt + i * kDescriptorSize);
  }
  for (std::size_t i = 0; i < edid.extensions.size(); ++i) {
    if (const auto* cta = std::get_if<CtaExtension>(&edid.extensions[i]))
      add_cta(list, *cta, (i + 1) * kEdidBlockSize);
  }
  return list;
}

}  // namespace host::signal
