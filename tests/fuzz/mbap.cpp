#include <algorithm>
#include <vector>

#include "protocol/mbap/decoder.hpp"
#include "protocol/mbap/transaction.hpp"
#include "protocol/pdu/request.hpp"
#include "tests/fuzz/targets.hpp"

namespace tests::fuzz {
namespace {

using protocol::base::read_be16;
using protocol::mbap::Decoder;

struct Cut {
  std::vector<std::vector<std::uint8_t>> frames;  // header and PDU
  std::size_t foreign = 0;
  bool lost = false;
  bool unfinished = false;
  bool operator==(const Cut&) const = default;
};

// The stream by the standard's words alone. Source  MODBUS Messaging on TCP/IP Implementation Guide
// V1.0b, 3.1.3.
Cut by_the_book(Octets stream) {
  Cut cut;
  while (!stream.empty()) {
    cut.unfinished = true;
    if (stream.size() < 6) return cut;
    const std::size_t length = read_be16(stream, 4);
    cut.lost = length < 2 || length > 254;
    if (cut.lost) cut.unfinished = false;
    if (cut.lost || stream.size() < 6 + length) return cut;
    const Octets frame = stream.first(6 + length);
    if (read_be16(frame, 2) == 0) {
      cut.frames.emplace_back(frame.begin(), frame.end());
    } else {
      ++cut.foreign;
    }
    cut.unfinished = false;
    stream = stream.subspan(frame.size());
  }
  return cut;
}

Cut decoded(Octets stream, std::size_t piece_size) {
  Cut cut;
  Decoder decoder;
  for (Input rest{stream}; !rest.empty();) {
    Octets piece = rest.take(piece_size);
    while (!piece.empty() && !cut.lost) {
      const std::size_t before = piece.size();
      switch (decoder.push(piece)) {
        case Decoder::Outcome::kMore:
          must(piece.empty(), "all octets are taken where more are wanted");
          break;
        case Decoder::Outcome::kForeign: ++cut.foreign; break;
        case Decoder::Outcome::kLost: cut.lost = true; break;
        case Decoder::Outcome::kFrame: {
          const protocol::mbap::Frame frame = decoder.frame();
          const protocol::mbap::Adu adu = protocol::mbap::seal(frame.transaction, frame.unit, frame.pdu);
          cut.frames.emplace_back(adu.octets().begin(), adu.octets().end());
          break;
        }
      }
      must(piece.size() < before || cut.lost, "every push takes octets");
    }
  }
  cut.unfinished = decoder.unfinished();
  return cut;
}

// What answers a question carries its transaction and its unit, and is an answer to it.
void hold_transaction(const std::vector<std::uint8_t>& octets) {
  Octets stream{octets};
  Decoder decoder;
  (void)decoder.push(stream);
  const protocol::mbap::Frame frame = decoder.frame();
  const auto request = protocol::pdu::read_input_registers(0x1000, 2);
  for (const std::uint16_t transaction : {frame.transaction, static_cast<std::uint16_t>(7)}) {
    protocol::mbap::Transaction question{transaction};
    const protocol::mbap::Adu asked = question.ask(0x11, request);
    const auto heard = question.hear(frame);
    if (!heard) {
      must(question.open(), "an answer to another leaves a question open");
      continue;
    }
    must(read_be16(asked.octets(), 0) == frame.transaction && frame.unit == 0x11,
         "an answer is to the question");
    must(*heard == protocol::pdu::match(request, frame.pdu), "an answer is judged as anywhere");
    if (!question.open()) must(!question.hear(frame).has_value(), "an answer said twice counts once");
  }
}

}  // namespace

void mbap(Octets input) {
  Input rest{input};
  const std::size_t piece_size = rest.octet();
  const Octets stream = rest.take(input.size());
  const Cut right = by_the_book(stream);
  must(decoded(stream, std::max<std::size_t>(stream.size(), 1)) == right,
       "a stream is cut as the standard has it");
  must(decoded(stream, 1) == right, "octet by octet too");
  must(decoded(stream, std::max<std::size_t>(piece_size, 1)) == right, "in any pieces");
  for (const auto& frame : right.frames) hold_transaction(frame);
}

}  // namespace tests::fuzz
