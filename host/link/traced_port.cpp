#include "host/link/traced_port.hpp"

#include <array>
#include <chrono>
#include <optional>
#include <utility>

namespace host::link {

namespace {

using protocol::base::Instant;
using protocol::base::Octets;

class TracedPort final : public Port, private PortListener {
 public:
  TracedPort(std::unique_ptr<Port> port, trace::Writer& writer) : port_{std::move(port)}, writer_{writer} {
    port_->set_listener(this);
  }

  [[nodiscard]] const std::string& name() const override { return port_->name(); }
  [[nodiscard]] Instant now() const override { return port_->now(); }
  void set_listener(PortListener* listener) override { listener_ = listener; }
  [[nodiscard]] Result<void> send(Octets octets) override {
    writer_.sent(octets, port_->now());
    auto done = port_->send(octets);
    if (!done && done.error().fault == Fault::kGone) {
      writer_.lost(port_->now());
    }
    return done;
  }
  void wake_at(Instant at) override { port_->wake_at(at); }
  [[nodiscard]] Result<void> run_one(const CancelToken& cancel) override { return port_->run_one(cancel); }
  [[nodiscard]] std::optional<LineCounters> line_counters() const override { return port_->line_counters(); }
  void close() override {
    listener_ = nullptr;
    port_->close();
  }

 private:
  void octets_arrived(Octets octets, Instant now) override {
    writer_.received(octets, now);
    if (listener_ != nullptr) {
      listener_->octets_arrived(octets, now);
    }
  }
  void octet_was(std::uint8_t octet) override { octet_ = octet; }
  void octet_damaged(Instant now) override {
    // A mark tells parity and framing not apart; a driver that has counted only one of them does.
    const auto counted = port_->line_counters();
    const bool parity = counted && counted->parity > 0 && counted->framing + counted->breaks == 0;
    writer_.damaged(now, std::exchange(octet_, std::nullopt), parity);
    if (listener_ != nullptr) {
      listener_->octet_damaged(now);
    }
  }
  void woken(Instant now) override {
    if (listener_ != nullptr) {
      listener_->woken(now);
    }
  }
  void lost(const LinkError& error) override {
    writer_.lost(port_->now());
    if (listener_ != nullptr) {
      listener_->lost(error);
    }
  }

  std::unique_ptr<Port> port_;
  trace::Writer& writer_;
  PortListener* listener_ = nullptr;
  std::optional<std::uint8_t> octet_;  // that is told to be damaged next
};

}  // namespace

std::unique_ptr<Port> traced(std::unique_ptr<Port> port, trace::Writer& writer) {
  return std::make_unique<TracedPort>(std::move(port), writer);
}

void trace_from_now(Transport& way, trace::Writer& writer, const trace::Preamble& known) {
  const auto since = std::chrono::system_clock::now().time_since_epoch();
  const auto wall_us = std::chrono::duration_cast<std::chrono::microseconds>(since).count();
  writer.begin(known, wall_us, way.port->now());
  way.port = traced(std::move(way.port), writer);
}

trace::Preamble preamble_of(const Transport& way) {
  constexpr std::array<char, 3> kLetters{'N', 'E', 'O'};
  trace::Preamble known;
  known.carrier = way.framing == Framing::kMbap ? trace::Carrier::kMbap : trace::Carrier::kRtu;
  known.baud = way.line.baud;
  known.parity = kLetters.at(static_cast<std::size_t>(way.line.parity));
  known.stop_bits = way.line.stop_bits;
  return known;
}

}  // namespace host::link
