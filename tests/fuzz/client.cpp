#include "protocol/session/client.hpp"

#include <algorithm>
#include <vector>

#include "protocol/rtu/frame.hpp"
#include "protocol/session/answer.hpp"
#include "tests/fuzz/targets.hpp"
#include "tests/protocol/session/line.hpp"

// The input, an octet of settings (bit 0: the unit has no 08; bit 1: reads may stand in its place; bit 2: the
// answer's time is known), then an operation and, at each wait of the client, what the peer does.
//
//   operation, modulo 8: 0 open               the peer, modulo 16, after so many quarters of a millisecond as
//                        1 holding, a w n o   the next octet says:
//                        2 input, a w n o       0 nothing until the wait is over   4 octets, by the unit
//                        3 write, a w           1 the right answer                 5 octets, by another
//                        4 identification       2 what was sent comes back         6 the right answer, cut
//                        5 broadcast            3 octets as they are               7 an octet was damaged
//                        6 file record         13 the right answer, by another   8.. as 8 less
//                        7 octets, stray
//
// (o an octet, w a word.) Octets are a count, then as many. Whether an answer is late, or said twice, nobody
// can tell of such a peer: tests/soak asks that of an honest one.

namespace tests::fuzz {
namespace {

using protocol::base::Instant;
using protocol::base::microseconds;
using protocol::base::milliseconds;
using protocol::pdu::Match;
using protocol::pdu::Request;
using protocol::session::Client;
using protocol::session::ClientSettings;
using protocol::session::Step;

constexpr std::uint8_t kUnit = 0x11;

ClientSettings settings_of(std::uint8_t bits) {
  ClientSettings settings;
  settings.unit_address = kUnit;
  settings.timing = {115200, 10};
  settings.has_diagnostics = (bits & 1U) == 0;
  settings.probe_registers_max = (bits & 2U) == 0 ? 0 : 20;
  settings.answer_time_max = milliseconds((bits & 4U) == 0 ? 0 : 50);
  return settings;
}

class Bench {
 public:
  explicit Bench(std::uint8_t settings) : client_{settings_of(settings)} {}

  void operate(Input& rest) {
    const std::uint8_t what = rest.octet() % 8;
    Request request;
    switch (what) {
      case 0: client_.open(now_); return (void)drive(rest);
      case 1: request = holding_or_input(rest, true); break;
      case 2: request = holding_or_input(rest, false); break;
      case 3: request = protocol::pdu::write_single_register(rest.word(), rest.word()); break;
      case 4:
        request =
            protocol::pdu::read_device_identification(protocol::pdu::ReadDeviceId::kExtended, rest.octet());
        break;
      case 5: client_.broadcast(protocol::pdu::write_single_register(1, 2), now_); return (void)drive(rest);
      case 6: {
        const protocol::pdu::FileRecord group{1, rest.octet(),
                                              static_cast<std::uint16_t>(1 + rest.octet() % 100)};
        request = protocol::pdu::read_file_records(std::span{&group, 1});
        break;
      }
      default: now_ += milliseconds(1); return client_.received(rest.take(rest.octet()), now_);
    }
    client_.request(request, now_);
    const bool ended = drive(rest);
    must(ended, "an operation ends");
    if (client_.outcome().ok()) hold_accepted(request, client_.outcome().value().octets());
  }

  /// Behind anything, a good link gives the right words.
  void finish() {
    session::Line line{{}, 1, kUnit};
    session::idle(client_, line, now_, milliseconds(1000));
    client_.open(now_);
    session::drive(client_, line, now_);
    must(client_.outcome().ok(), "a good link opens behind anything");
    client_.request(protocol::pdu::read_input_registers(0x1234, 3), now_);
    session::drive(client_, line, now_);
    must(client_.outcome().ok() && client_.outcome().value().word_count() == 3, "and is answered");
    for (std::uint16_t i = 0; i < 3; ++i) {
      must(client_.outcome().value().word(i) == 0x1234 + i, "with the right words");
    }
  }

 private:
  static Request holding_or_input(Input& rest, bool holding) {
    const std::uint16_t address = rest.word();
    const auto count = static_cast<std::uint16_t>(1 + rest.octet() % protocol::pdu::kReadRegistersMax);
    return holding ? protocol::pdu::read_holding_registers(address, count)
                   : protocol::pdu::read_input_registers(address, count);
  }

  // What was accepted was framed by the peer, behind the last octet of this very request; on a line that
  // echoes a write, which its answer equals, twice.
  void hold_accepted(const Request& request, Octets pdu) {
    must(protocol::pdu::match(request, pdu) == Match::kAnswer, "what is accepted answers what was asked");
    must(std::ranges::equal(protocol::rtu::pdu_of(sent_), request.octets()), "what was asked was sent last");
    const protocol::rtu::Adu frame = protocol::rtu::seal(kUnit, pdu);
    std::size_t count = 0;
    for (auto at = heard_.begin();;) {
      const Octets octets = frame.octets();
      at = std::search(at, heard_.end(), octets.begin(), octets.end());
      if (at == heard_.end()) break;
      at += static_cast<std::ptrdiff_t>(octets.size());
      ++count;
    }
    const bool echoed = client_.statistics().echo == protocol::session::Echo::kPresent &&
                        std::ranges::equal(frame.octets(), sent_);
    must(count >= (echoed ? 2U : 1U), "what is accepted came in a frame of its own, behind the request");
  }

  void hear(Octets octets) {
    heard_.insert(heard_.end(), octets.begin(), octets.end());
    client_.received(octets, now_);
  }

  // Runs the operation under way to its end. Once the input is used up the peer is silent.
  bool drive(Input& rest) {
    const Instant begun = now_;
    for (int steps = 0; steps < 10'000; ++steps) {
      const Step step = client_.step(now_);
      if (step.kind == Step::Kind::kFinished) {
        must(client_.step(now_).kind == Step::Kind::kIdle, "an end is said once");
        must(now_ - begun < milliseconds(60'000), "an operation ends within a minute");
        return true;
      }
      must(step.kind != Step::Kind::kIdle, "an operation under way isn't forgotten");
      if (step.kind == Step::Kind::kSend) {
        must(step.octets.size() <= protocol::rtu::kAduSizeMax && protocol::rtu::crc_holds(step.octets),
             "what a client sends is a frame");
        sent_.assign(step.octets.begin(), step.octets.end());
        heard_.clear();
        client_.sent(now_);
        continue;
      }
      must(step.until > now_ && step.until != Instant::max(), "a client waits for a time to come");
      if (rest.empty()) {
        now_ = step.until;
      } else {
        peer(rest, step.until);
      }
    }
    return false;
  }

  void peer(Input& rest, Instant until) {
    const std::uint8_t act = rest.octet() % 16;
    const std::uint8_t what = act % 8;
    if (what == 0) {
      now_ = until;
      return;
    }
    now_ = std::min(until, now_ + microseconds(250 * rest.octet()));
    if (act == 13) return hear(right_answer(kUnit + 1));
    switch (what) {
      case 1: hear(right_answer()); break;
      case 2: hear(sent_); break;
      case 3: hear(rest.take(rest.octet())); break;
      case 4:
      case 5: {
        const Octets pdu = rest.take(std::min<std::size_t>(rest.octet(), protocol::pdu::kPduSizeMax));
        if (!pdu.empty()) hear(protocol::rtu::seal(what == 4 ? kUnit : kUnit + 1, pdu).octets());
        break;
      }
      case 6: {
        const std::vector<std::uint8_t> answer = right_answer();
        hear(Octets{answer}.first(rest.octet() % (answer.size() + 1)));
        break;
      }
      default: client_.damaged(now_); break;
    }
  }

  std::vector<std::uint8_t> right_answer(std::uint8_t unit = kUnit) {
    if (sent_.empty()) return {};
    const auto answer = protocol::session::answer(protocol::rtu::pdu_of(sent_), device_);
    const protocol::rtu::Adu adu = protocol::rtu::seal(unit, answer.octets());
    return {adu.octets().begin(), adu.octets().end()};
  }

  Client<> client_;
  session::AddressDevice device_;
  Instant now_{milliseconds(1)};
  std::vector<std::uint8_t> sent_;
  std::vector<std::uint8_t> heard_;  // since sent_
};

}  // namespace

void client(Octets input) {
  Input rest{input};
  Bench bench{rest.octet()};
  for (int operations = 0; operations < 64 && !rest.empty(); ++operations) bench.operate(rest);
  bench.finish();
}

}  // namespace tests::fuzz
