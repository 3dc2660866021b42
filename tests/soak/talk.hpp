#pragma once

#include <algorithm>
#include <cstdint>

#include "protocol/session/client_machine.hpp"
#include "tests/soak/tally.hpp"
#include "tests/soak/wire.hpp"

namespace tests::soak {

[[nodiscard]] inline protocol::session::ClientSettings client_settings(std::uint64_t seed) {
  protocol::session::ClientSettings settings;
  settings.unit_address = kUnit;
  settings.timing = kLine;
  settings.turnaround_max = protocol::base::milliseconds(5);
  settings.adapter_latency_max = protocol::base::milliseconds(1);
  settings.margin = protocol::base::milliseconds(4);
  settings.seed = static_cast<std::uint32_t>(seed);
  return settings;
}

/// A client at one end of a wire, under one clock.
template <typename Guards>
class Talk {
 public:
  /// `wire` outlives it. The link is opened.
  Talk(Wire& wire, std::uint64_t seed) : wire_{wire}, client_{client_settings(seed)} {}

  /// Opens the link; `now` is when, and moves along.
  const protocol::session::Outcome& open(Instant& now) {
    client_.open(now);
    drive(now);
    return client_.outcome();
  }

  const protocol::session::Outcome& ask(const protocol::pdu::Request& request, Instant& now) {
    client_.request(request, now);
    drive(now);
    return client_.outcome();
  }

  /// Lets time pass; what comes is stray.
  void idle(Duration time, Instant& now) {
    const Instant until = now + time;
    while (wire_.next() <= until) hear(now);
    now = std::max(now, until);
  }

  /// Adds what the client saw.
  void add_to(Tally& tally) const {
    const auto& did = client_.statistics();
    tally.transactions += did.transactions;
    tally.retries += did.retries;
    tally.fences += did.fences;
    tally.bad += did.frames_bad;
    tally.stale += did.frames_stale;
    tally.foreign += did.frames_foreign;
    tally.timeouts += did.timeouts;
    tally.octets_stray += did.octets_stray;
  }

  [[nodiscard]] const protocol::session::Statistics& statistics() const { return client_.statistics(); }

 private:
  void hear(Instant& now) {
    now = std::max(now, wire_.next());
    const Piece piece = wire_.front();
    wire_.pop();
    client_.received(piece.octets(), now);
    if (piece.damaged) client_.damaged(now);
  }

  void drive(Instant& now) {
    using protocol::session::Step;
    for (;;) {
      const Step step = client_.step(now);
      if (step.kind == Step::Kind::kFinished || step.kind == Step::Kind::kIdle) return;
      if (step.kind == Step::Kind::kSend) {
        wire_.transmit(step.octets, now);
        client_.sent(now);
      } else if (wire_.next() <= step.until) {
        hear(now);
      } else {
        now = step.until;
      }
    }
  }

  Wire& wire_;
  protocol::session::Client<Guards> client_;
};

}  // namespace tests::soak
