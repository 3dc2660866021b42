#include "host/link/trace/explain.hpp"

#include <algorithm>
#include <string_view>

#include <fmt/core.h>

#include "host/link/trace/packet.hpp"
#include "protocol/mbap/decoder.hpp"
#include "protocol/pdu/identification.hpp"
#include "protocol/points/layout.hpp"
#include "protocol/points/words.hpp"
#include "protocol/rtu/frame.hpp"

namespace host::link::trace {

namespace {

using protocol::base::Octets;
using protocol::base::read_be16;
using protocol::pdu::Length;
using protocol::points::Layout;
using protocol::points::Point;
using protocol::points::Reading;

struct Function {
  std::uint8_t code;
  std::string_view words;
};

// Source  AP V1.1b3, 6.
constexpr std::array kFunctions{
    Function{0x01, "read coils"},
    Function{0x02, "read discrete inputs"},
    Function{0x03, "read holding registers"},
    Function{0x04, "read input registers"},
    Function{0x05, "write coil"},
    Function{0x06, "write register"},
    Function{0x08, "diagnostics"},
    Function{0x0F, "write coils"},
    Function{0x10, "write registers"},
    Function{0x11, "report server id"},
    Function{0x14, "read file record"},
    Function{0x15, "write file record"},
    Function{0x16, "mask write register"},
    Function{0x17, "read and write registers"},
    Function{0x18, "read FIFO queue"},
    Function{0x2B, "read device identification"},
};

std::string name_of(std::uint8_t function) {
  const auto* const found = std::find_if(kFunctions.begin(), kFunctions.end(),
                                         [&](const Function& one) { return one.code == function; });
  return found == kFunctions.end() ? fmt::format("function {:02X}", function) : std::string{found->words};
}

// Source  AP V1.1b3, 7.
std::string_view exception_name(std::uint8_t code) {
  switch (code) {
    case 0x01: return "illegal function";
    case 0x02: return "illegal data address";
    case 0x03: return "illegal data value";
    case 0x04: return "server device failure";
    case 0x05: return "acknowledge";
    case 0x06: return "server device busy";
    case 0x08: return "memory parity error";
    case 0x0A: return "gateway path unavailable";
    case 0x0B: return "gateway target device failed to respond";
    default: return "an exception the standard doesn't know";
  }
}

// Where a point stands in what was read, in registers from `address`; nothing when it isn't there whole.
std::optional<std::size_t> offset_of(const Layout& layout, std::uint8_t function, std::uint16_t address,
                                     std::size_t count) {
  const auto size = register_count(layout.type);
  const auto inside = [&](std::uint32_t at) { return at >= address && at + size <= address + count; };
  if (static_cast<std::uint8_t>(layout.table) == function && inside(layout.address)) {
    return std::size_t{layout.address} - address;
  }
  const std::uint32_t image = std::uint32_t{protocol::points::kImageAddress} + layout.image;
  if (function == 4 && layout.image != protocol::points::kNotInImage && inside(image)) {
    return image - address;
  }
  return std::nullopt;
}

std::string range(std::uint16_t address, std::uint16_t count) {
  return count < 2 ? fmt::format("0x{:04X}", address)
                   : fmt::format("0x{:04X}..0x{:04X}", address, address + count - 1U);
}

bool reads_registers(std::uint8_t function) {
  return function == 3 || function == 4;
}

std::string written(Octets pdu) {
  const std::uint16_t address = read_be16(pdu, 1);
  const std::string named = points_named(3, address, 1);
  const std::string where = named.empty() ? "" : " (" + named + ")";
  return fmt::format("{} {}{} = {}", name_of(pdu[0]), range(address, 1), where, read_be16(pdu, 3));
}

}  // namespace

std::string points_named(std::uint8_t function, std::uint16_t address, std::uint16_t count) {
  std::string_view first;
  std::string_view last;
  std::size_t first_at = 0;
  std::size_t last_at = 0;
  for (std::size_t i = 0; i < protocol::points::kPointCount; ++i) {
    const auto point = static_cast<Point>(i);
    const auto at = offset_of(protocol::points::layout(point), function, address, count);
    if (!at) {
      continue;
    }
    const std::string_view name = protocol::points::words(point).name;
    if (first.empty() || *at < first_at) {
      first = name;
      first_at = *at;
    }
    if (last.empty() || *at >= last_at) {
      last = name;
      last_at = *at;
    }
  }
  if (first.empty() || first == last) {
    return std::string{first};
  }
  return fmt::format("{} … {}", first, last);
}

std::string to_text(const PointValue& value) {
  const auto& words = protocol::points::words(value.point);
  switch (value.reading.kind) {
    case Reading::Kind::kText:
      return value.reading.text_size == 0 ? std::string{"(empty)"} : std::string{value.reading.text()};
    case Reading::Kind::kUnread:
      switch (value.reading.unread) {
        case protocol::points::Unread::kAsleep: return "asleep";
        case protocol::points::Unread::kNoEdges: return "no-edges";
        case protocol::points::Unread::kNotFitted: break;
      }
      return "not-fitted";
    case Reading::Kind::kNumber: break;
  }
  if (const auto choice = protocol::points::choice(value.point, value.reading.number); !choice.empty()) {
    return std::string{choice};
  }
  constexpr std::string_view kPlain[]{"bits", "count", "index", "word", "version", "strap", "choice"};
  const bool plain = std::find(std::begin(kPlain), std::end(kPlain), words.unit) != std::end(kPlain);
  return plain ? fmt::format("{}", value.reading.number)
               : fmt::format("{} {}", value.reading.number, words.unit);
}

Meaning Explainer::request(std::uint8_t unit, Octets pdu) {
  Meaning meaning;
  meaning.unit = unit;
  asked_ = Asked{unit, {pdu.begin(), pdu.end()}};
  std::string what = name_of(pdu[0]);
  if (reads_registers(pdu[0]) && pdu.size() == 5) {
    const std::uint16_t count = read_be16(pdu, 3);
    what += " " + range(read_be16(pdu, 1), count);
    if (const auto named = points_named(pdu[0], read_be16(pdu, 1), count); !named.empty()) {
      what += " (" + named + ")";
    }
  } else if (pdu[0] == 0x06 && pdu.size() == 5) {
    what = written(pdu);
  } else if (pdu[0] == 0x08 && pdu.size() == 5) {
    what += fmt::format(" {:02X}, word {:04X}", read_be16(pdu, 1), read_be16(pdu, 3));
  } else if (pdu[0] == 0x2B && pdu.size() == 4) {
    what += fmt::format(" from object {:02X}", pdu[3]);
  } else if (pdu.size() >= 5) {
    what += fmt::format(" from 0x{:04X}", read_be16(pdu, 1));
  }
  meaning.text = unit == 0 ? "to all units: " + what : fmt::format("unit {}: {}", unit, what);
  return meaning;
}

Meaning Explainer::response(std::uint8_t unit, Octets pdu) {
  Meaning meaning;
  meaning.unit = unit;
  const std::uint8_t function = pdu[0] & 0x7FU;
  if ((pdu[0] & 0x80U) != 0) {
    const std::uint8_t code = pdu.size() > 1 ? pdu[1] : std::uint8_t{0};
    meaning.text =
        fmt::format("unit {} refuses to {}: {:02X}, {}", unit, name_of(function), code, exception_name(code));
    return meaning;
  }
  const bool fits = asked_ && asked_->unit == unit && asked_->pdu[0] == pdu[0];
  if (!fits) {
    meaning.text = fmt::format("unit {}: an answer to {} that nobody asked", unit, name_of(function));
    return meaning;
  }
  if (reads_registers(function) && pdu.size() >= 2 && asked_->pdu.size() == 5) {
    const std::uint16_t address = read_be16(asked_->pdu, 1);
    const std::size_t count = (pdu.size() - 2) / 2;
    std::vector<std::uint16_t> words;
    words.reserve(count);
    for (std::size_t i = 0; i < count; ++i) {
      words.push_back(read_be16(pdu, 2 + 2 * i));
    }
    for (std::size_t i = 0; i < protocol::points::kPointCount; ++i) {
      const auto point = static_cast<Point>(i);
      const Layout& layout = protocol::points::layout(point);
      if (const auto at = offset_of(layout, function, address, count)) {
        const auto registers = std::span{words}.subspan(*at, register_count(layout.type));
        meaning.points.push_back({point, decode(point, registers)});
      }
    }
    const bool short_or_long = count != read_be16(asked_->pdu, 3);
    meaning.text = fmt::format("unit {}: {} register{}{}", unit, count, count == 1 ? "" : "s",
                               short_or_long ? ", not as many as asked" : "");
  } else if (function == 0x08) {
    const bool same = std::equal(pdu.begin(), pdu.end(), asked_->pdu.begin(), asked_->pdu.end());
    meaning.text = fmt::format("unit {}: {}", unit, same ? "the same word back" : "another word");
  } else if (protocol::pdu::is_identification(pdu)) {
    const protocol::pdu::IdentificationPage page{pdu};
    meaning.text = fmt::format("unit {}:", unit);
    for (std::uint8_t i = 0; i < page.count(); ++i) {
      const auto object = page.object(i);
      meaning.text += fmt::format(" {:02X}={}", object.id, object.text);
    }
  } else {
    meaning.text = fmt::format("unit {}: {} done", unit, name_of(function));
  }
  return meaning;
}

Meaning Explainer::explain(const Record& record) {
  Meaning meaning = meaning_of(record);
  if (record.left_out > 0) {
    meaning.text.insert(0, left_out_comment(record.left_out) + "; ");
  }
  return meaning;
}

Meaning Explainer::meaning_of(const Record& record) {
  switch (record.kind) {
    case Record::Kind::kDamaged:
      return {
          record.parity ? "an octet with a parity error" : "an octet with a parity or framing error", 0, {}};
    case Record::Kind::kLost: asked_.reset(); return {"the port went away", 0, {}};
    case Record::Kind::kSent:
    case Record::Kind::kReceived: break;
  }
  const Octets octets{record.octets};
  const bool sent = record.kind == Record::Kind::kSent;
  if (carrier_ == Carrier::kMbap) {
    protocol::mbap::Decoder decoder;
    Octets rest = octets;
    if (decoder.push(rest) != protocol::mbap::Decoder::Outcome::kFrame || !rest.empty()) {
      return {"part of a frame, or several", 0, {}};
    }
    const auto frame = decoder.frame();
    Meaning meaning = sent ? request(frame.unit, frame.pdu) : response(frame.unit, frame.pdu);
    meaning.text += fmt::format(" [{:04X}]", frame.transaction);
    return meaning;
  }
  if (!protocol::rtu::crc_holds(octets)) {
    return {
        octets.size() < protocol::rtu::kAduSizeMin ? "too short for a frame" : "no frame: its CRC is wrong",
        0,
        {}};
  }
  if (!sent && asked_ && octets[0] == asked_->unit) {
    const Octets pdu = protocol::rtu::pdu_of(octets);
    const bool echo = std::equal(pdu.begin(), pdu.end(), asked_->pdu.begin(), asked_->pdu.end());
    // The answers of 05, 06 and 08 equal their requests, so an echo of those can't be told here.
    if (echo && asked_->pdu[0] != 0x05 && asked_->pdu[0] != 0x06 && asked_->pdu[0] != 0x08) {
      return {"our own octets back, an echo", octets[0], {}};
    }
    return response(octets[0], pdu);
  }
  const Length response_size = protocol::rtu::response_length(octets);
  const bool as_response = !sent && response_size == Length{Length::Kind::kKnown, octets.size()};
  const bool as_request =
      protocol::rtu::request_length(octets) == Length{Length::Kind::kKnown, octets.size()};
  if (!sent && as_response && (!as_request || (asked_ && asked_->unit == octets[0]))) {
    return response(octets[0], protocol::rtu::pdu_of(octets));
  }
  Meaning meaning = request(octets[0], protocol::rtu::pdu_of(octets));
  if (!sent) {
    meaning.text = "somebody else asks " + meaning.text;
  }
  return meaning;
}

}  // namespace host::link::trace
