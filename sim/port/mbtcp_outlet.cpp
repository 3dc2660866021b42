#include <algorithm>
#include <deque>

#include "protocol/mbap/decoder.hpp"
#include "protocol/session/answer.hpp"
#include "sim/port/clients.hpp"

namespace sim::port {
namespace {

using protocol::base::Instant;
using protocol::pdu::ExceptionCode;

// Answers that wait for their turnaround; a client with more is not read for a while.
constexpr std::size_t kWaitingMax = 16;

// A client of a Modbus/TCP server that stands before the units as a gateway does.
class MbapClient final : public Client {
 public:
  MbapClient(int fd, unit::Asker asker, const OutletSetup& setup)
      : Client{fd, asker, setup}, seats_{setup.seats}, turnaround_{setup.bus.turnaround} {}

  void ready() override {
    const auto octets = read();
    if (gone()) return;
    if (waiting_.size() >= kWaitingMax) {
      leave();  // told to wait, and octets all the same: it has gone
      return;
    }
    const Instant now = clock();
    protocol::base::Octets rest = octets;
    while (!rest.empty() && !gone()) {
      switch (decoder_.push(rest)) {
        case protocol::mbap::Decoder::Outcome::kFrame: hear(decoder_.frame(), now); break;
        case protocol::mbap::Decoder::Outcome::kLost: leave(); break;  // no frame can be found any more
        default: break;
      }
    }
    go_on(now);
  }

  void go_on(Instant now) override {
    while (!waiting_.empty() && waiting_.front().first <= now) {
      write(waiting_.front().second.octets());
      waiting_.pop_front();
    }
    want(waiting_.size() < kWaitingMax);
  }

  [[nodiscard]] std::optional<Instant> next() const override {
    return waiting_.empty() ? std::nullopt : std::optional{waiting_.front().first};
  }

  [[nodiscard]] OutletCounts counts() const override { return counts_; }

 private:
  // The seat a unit identifier means; none where two answer to it.
  [[nodiscard]] const Seat* seat(std::uint8_t unit) const {
    const bool only = unit == protocol::mbap::kUnitOfServer || unit == 0;
    const std::uint8_t address = only ? seats_.front()->address : unit;
    const Seat* found = nullptr;
    for (const auto& one : seats_) {
      if (!one->attached || (one->address != address && !only)) continue;
      if (found != nullptr) {
        one->fault_acts(line::Acted::kIntruder);
        return nullptr;
      }
      found = one.get();
    }
    return found;
  }

  // The gateway's line to that unit is as bad as any.
  static void tell_fault(const Seat& seat) {
    if (seat.fault.mute) seat.fault_acts(line::Acted::kMute);
    if (seat.fault.swapped) seat.fault_acts(line::Acted::kSwapped);
    if (seat.fault.format) seat.fault_acts(line::Acted::kFormat);
  }

  void hear(const protocol::mbap::Frame& frame, Instant now) {
    std::array<std::uint8_t, protocol::session::kAnswerRoom> pdu{};
    std::copy(frame.pdu.begin(), frame.pdu.end(), pdu.begin());
    const Seat* const asked = seat(frame.unit);
    std::size_t size = 0;
    if (asked != nullptr) asked->live_until(now);
    if (asked != nullptr) tell_fault(*asked);
    if (asked == nullptr || asked->fault != line::StationFault{} || !asked->answers()) {
      size = protocol::session::refuse(pdu, ExceptionCode::kGatewayTargetFailed);
    } else {
      asked->asked_by(asker());
      size = asked->answerer.make(pdu, frame.pdu.size());
    }
    ++counts_.answers;
    waiting_.emplace_back(now + turnaround_,
                          protocol::mbap::seal(frame.transaction, frame.unit, {pdu.data(), size}));
  }

  const Seats& seats_;
  protocol::base::Duration turnaround_;
  protocol::mbap::Decoder decoder_;
  std::deque<std::pair<Instant, protocol::mbap::Adu>> waiting_;
  OutletCounts counts_;
};

}  // namespace

MadeOutlet make_mbtcp_outlet(const std::string& where, const OutletSetup& setup) {
  return ClientsOutlet::make("mbtcp", where, setup, [setup](int fd, unit::Asker asker) {
    return std::make_unique<MbapClient>(fd, asker, setup);
  });
}

}  // namespace sim::port
