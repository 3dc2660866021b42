#include "protocol/session/server.hpp"

#include <algorithm>
#include <vector>

#include "protocol/rtu/frame.hpp"
#include "tests/fuzz/targets.hpp"
#include "tests/protocol/session/example_device.hpp"

// The input, an octet of settings (bit 0: pauses inside a frame condemn it), then commands of an octet modulo
// 8:
//
//   0 n octets      come as they are          4 n     that many quarters of a millisecond pass
//   1 n octets      come sealed for the unit  5       the port saw damage
//   2 n octets      come sealed for all       6       the port is opened anew
//   3 n octets      as 1, but step() isn't    7       the device is busy until the next 7
//                   called behind them

namespace tests::fuzz {
namespace {

using protocol::base::Instant;
using protocol::base::microseconds;
using protocol::base::milliseconds;
using protocol::pdu::Length;
using protocol::session::Server;
using protocol::session::Step;
using session::ExampleDevice;

constexpr std::uint8_t kUnit = 0x11;

void furnish(ExampleDevice& device) {
  for (std::size_t i = 0; i < device.size; ++i) {
    device.holding[i] = static_cast<std::uint16_t>(0xA000 + i);
    device.input[i] = static_cast<std::uint16_t>(0xB000 + i);
  }
  device.objects[0] = "Tram depot";
  device.objects[1] = "alder";
  device.objects[0x80] = std::string(240, 'x');
  device.objects[0x81] = std::string(255, 'y');
  device.files[1] = std::vector<std::uint16_t>(300, 0x1234);
  device.queue = {1, 2, 3};
  device.server = {0x41, 0xFF, 0x42};
}

bool is_write(std::uint8_t function) {
  return function == 0x05 || function == 0x06 || function == 0x0F || function == 0x10 || function == 0x16 ||
         function == 0x17;
}

// Whole frames with a right CRC for this unit, wherever they begin, that ask for a write.
std::size_t writes_in(Octets heard) {
  std::size_t count = 0;
  for (std::size_t at = 0; at + protocol::rtu::kAduSizeMin <= heard.size(); ++at) {
    if ((heard[at] != 0 && heard[at] != kUnit) || !is_write(heard[at + 1])) continue;
    const Length length = protocol::rtu::request_length(heard.subspan(at));
    if (length.kind != Length::Kind::kKnown || at + length.octets > heard.size()) continue;
    if (protocol::rtu::crc_holds(heard.subspan(at, length.octets))) ++count;
  }
  return count;
}

class Bench {
 public:
  explicit Bench(std::uint8_t settings)
      : server_{{kUnit,
                 {115200, 10},
                 {},
                 (settings & 1U) == 0 ? protocol::session::CharacterGap::kIgnored
                                      : protocol::session::CharacterGap::kEnforced},
                device_} {
    furnish(device_);
  }

  void hear(Octets octets) {
    heard_.insert(heard_.end(), octets.begin(), octets.end());
    quiet_ = false;
    now_ += server_timing().wire_time(octets.size());
    server_.received(octets, now_);
  }

  /// Lets the server answer; gives how many answers there were.
  int settle() {
    quiet_ = true;
    int answers = 0;
    for (;;) {
      const Step step = server_.step(now_);
      if (step.kind == Step::Kind::kIdle) return answers;
      if (step.kind == Step::Kind::kWait) {
        must(step.until > now_, "a server waits for a time to come");
        now_ = step.until;
        continue;
      }
      must(step.kind == Step::Kind::kSend, "a server sends, waits or is idle");
      must(++answers == 1, "one silence brings one answer");
      answer_.assign(step.octets.begin(), step.octets.end());
      must(answer_.size() >= 5 && answer_[0] == kUnit && protocol::rtu::crc_holds(answer_),
           "what a server says is a whole frame of its own");
      const Length length = protocol::rtu::response_length(answer_);
      const bool echoes = answer_[1] == 0x08;  // of any length
      must(echoes || (length.kind == Length::Kind::kKnown && length.octets == answer_.size()),
           "a client knows how long the answer is");
    }
  }

  void command(Input& rest) {
    const std::uint8_t what = rest.octet() % 8;
    switch (what) {
      case 0: hear(rest.take(rest.octet())); break;
      case 1:
      case 2:
      case 3: {
        const Octets pdu = rest.take(std::min<std::size_t>(rest.octet(), protocol::pdu::kPduSizeMax));
        if (pdu.empty()) return;
        const bool alone = quiet_;
        hear(protocol::rtu::seal(what == 2 ? protocol::pdu::kBroadcast : kUnit, pdu).octets());
        if (what == 3) return;
        if (settle() > 0 && alone) must(what == 1, "nobody answers a broadcast");
        break;
      }
      case 4: now_ += microseconds(250 * rest.octet()); break;
      case 5: server_.damaged(now_); break;
      case 6: server_.reset(); break;
      default:
        device_.refuses = device_.refuses == ExampleDevice::Code::kNone
                              ? ExampleDevice::Code::kServerDeviceBusy
                              : ExampleDevice::Code::kNone;
        return;
    }
    if (what != 0) (void)settle();
  }

  void finish() {
    (void)settle();
    must(static_cast<std::size_t>(device_.writes) <= writes_in(heard_), "only a whole request writes");
    device_.refuses = ExampleDevice::Code::kNone;
    const std::vector<std::uint8_t> read{0x04, 0, 5, 0, 2};
    now_ += milliseconds(50);
    hear(protocol::rtu::seal(kUnit, read).octets());
    if (settle() == 0) {
      // 08/04 makes it listen only, which 08/01 alone ends.
      const std::vector<std::uint8_t> restart{0x08, 0, 1, 0, 0};
      now_ += milliseconds(50);
      hear(protocol::rtu::seal(kUnit, restart).octets());
      must(settle() == 0, "who restarts from listen only mode says nothing");
      now_ += milliseconds(50);
      hear(protocol::rtu::seal(kUnit, read).octets());
      must(settle() == 1, "the good request behind anything is answered");
    }
    const std::vector<std::uint8_t> right{0x04, 4, 0xB0, 5, 0xB0, 6};
    must(std::ranges::equal(answer_, protocol::rtu::seal(kUnit, right).octets()), "with the right words");
  }

 private:
  [[nodiscard]] static protocol::rtu::LineTiming server_timing() { return {115200, 10}; }

  ExampleDevice device_;
  Server server_;
  Instant now_{milliseconds(1)};
  bool quiet_ = true;  // nothing came that the server hasn't had the time to answer
  std::vector<std::uint8_t> heard_;
  std::vector<std::uint8_t> answer_;
};

}  // namespace

void server(Octets input) {
  Input rest{input};
  Bench bench{rest.octet()};
  while (!rest.empty()) bench.command(rest);
  bench.finish();
}

}  // namespace tests::fuzz
