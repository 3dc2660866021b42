#include <algorithm>
#include <utility>

#include <fmt/core.h>
#include <sys/random.h>

#include "host/link/session_impl.hpp"
#include "host/link/traced_port.hpp"
#include "protocol/pdu/function.hpp"

namespace host::link {

using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::milliseconds;
namespace pdu = protocol::pdu;

namespace {

std::uint32_t drawn_seed() {
  std::uint32_t seed = 0;
  if (::getrandom(&seed, sizeof seed, 0) != static_cast<ssize_t>(sizeof seed) || seed == 0) {
    seed = static_cast<std::uint32_t>(monotonic_now().time_since_epoch().count()) | 1U;
  }
  return seed;
}

Result<void> check(const SessionOptions& options) {
  if (options.unit_address < 1 || options.unit_address > pdu::kUnitAddressMax) {
    return failure(Fault::kBadLink, fmt::format("{} is no unit address", options.unit_address),
                   fmt::format("addresses are 1 to {}", pdu::kUnitAddressMax));
  }
  return {};
}

}  // namespace

// A unit that vanished did so because its simulator ended, and that one may have said why.
LinkError Session::Impl::explained(LinkError error) {
  if (simulator.has_value() && error.fault != Fault::kCancelled) {
    const Duration patience = milliseconds(error.fault == Fault::kGone ? 200 : 0);
    if (const std::string why = simulator->why_ended(patience); !why.empty()) {
      LinkError ended = link_error(Fault::kSimulatorEnded, why, "start again; the simulated unit is gone");
      ended.port = error.port;
      ended.register_address = error.register_address;
      ended.elapsed = error.elapsed;
      return ended;
    }
  }
  return error;
}

Result<Sharing> Session::Impl::ask_aside() {
  const bool known = options.own_count > 0;
  const Table table = known ? options.own_table : options.probe_table;
  const std::uint16_t address = known ? options.own_address : options.probe_address;
  const std::uint16_t count = known ? options.own_count : std::uint16_t{1};
  const auto question = table == Table::kInput ? pdu::read_input_registers(address, count)
                                               : pdu::read_holding_registers(address, count);
  const Duration patience =
      options.turnaround_max + talk->way().adapter_latency.value_or(options.adapter_latency_max);
  Result<Sharing> shared;
  {
    Asker asker{talk->lent(), deadline, *cancel};
    shared = sharing(asker, options.unit_address, question, patience);
  }
  talk->resume();
  return shared;
}

// Words that never came sound may have been those of two units of one address. A gateway hands on one answer,
// so of them it tells nothing.
LinkError Session::Impl::second_look(LinkError error) {
  const bool disturbed = error.fault == Fault::kNoisy || error.fault == Fault::kSenseless;
  if (!disturbed || looked_twice || talk->way().framing == Framing::kMbap) {
    return error;
  }
  looked_twice = true;
  const auto shared = ask_aside();
  if (!shared) {
    return shared.error().fault == Fault::kCancelled ? shared.error() : error;
  }
  if (*shared == Sharing::kCertain) {
    LinkError certain = link_error(Fault::kSharedAddress,
                                   fmt::format("two units share address {} on {}: both answer",
                                               options.unit_address, place_of(talk->way())),
                                   "take one off the line and give it another address");
    certain.port = error.port;
    certain.elapsed = error.elapsed;
    return certain;
  }
  if (*shared == Sharing::kLikely || *shared == Sharing::kTwice) {
    error.remedy = fmt::format(
        "two units may share address {}{}: take one off the line; if that changes nothing, {}",
        options.unit_address, *shared == Sharing::kTwice ? ", for answers come twice" : "", error.remedy);
  }
  return error;
}

protocol::session::ClientSettings Session::Impl::client_settings(const Transport& way) const {
  protocol::session::ClientSettings settings;
  settings.unit_address = options.unit_address;
  settings.timing = {way.line.baud, static_cast<std::uint8_t>(bits_per_character(way.line))};
  settings.turnaround_max = options.turnaround_max;
  settings.gap_min = options.gap_min;
  settings.broadcast_turnaround = options.broadcast_turnaround;
  settings.adapter_latency_max = way.adapter_latency.value_or(options.adapter_latency_max);
  settings.probe_table = options.probe_table;
  settings.probe_address = options.probe_address;
  settings.has_diagnostics = options.has_diagnostics;
  settings.probe_registers_max = options.probe_registers_max;
  settings.answer_time_max = options.answer_time_max;
  settings.seed = seed + reopened;
  return settings;
}

trace::Preamble Session::Impl::preamble(const Transport& way) const {
  trace::Preamble known = preamble_of(way);
  known.unit_address = options.unit_address;
  known.seed = seed;
  known.latency_us =
      static_cast<std::uint32_t>(way.adapter_latency.value_or(options.adapter_latency_max).count());
  return known;
}

// A trace goes on with the words it began with, over a port of its own for each one that was lost.
Transport Session::Impl::replayed(Instant start) const {
  const trace::Preamble& known = replay->preamble();
  Transport way;
  way.line.baud = known.baud;
  way.line.parity = known.parity == 'N' ? Parity::kNone : known.parity == 'O' ? Parity::kOdd : Parity::kEven;
  way.line.stop_bits = known.stop_bits;
  way.framing = known.carrier == trace::Carrier::kMbap ? Framing::kMbap : Framing::kRtu;
  way.adapter_latency = Duration{known.latency_us};
  way.own = !known.listens;
  way.port = std::make_unique<ReplayPort>(replay, start);
  return way;
}

Result<void> Session::Impl::begin(Transport way) {
  const bool listens = !way.own && !options.share;
  if (options.trace != nullptr) {
    trace::Preamble known = preamble(way);
    known.listens = listens;
    trace_from_now(way, *options.trace, known);
  }
  const auto settings = client_settings(way);
  talk = std::make_unique<Conversation>(std::move(way), settings, deadline, *cancel);
  Result<void> done;
  if (listens) {
    done = talk->listen(options.listen_for);
  }
  if (done) {
    done = talk->begin();
  }
  if (!done) {
    return tl::unexpected{second_look(explained(done.error()))};
  }
  return {};
}

Result<std::unique_ptr<Session::Impl>> Session::prepare(const SessionOptions& options, Deadline deadline,
                                                        const CancelToken& cancel) {
  if (auto sound = check(options); !sound) {
    return tl::unexpected{sound.error()};
  }
  auto impl = std::make_unique<Impl>();
  impl->options = options;
  impl->deadline = deadline;
  impl->cancel = &cancel;
  impl->seed = options.seed.value_or(drawn_seed());
  return impl;
}

Result<Session> Session::open(const LinkUrl& link, const SessionOptions& options, Deadline deadline,
                              const CancelToken& cancel) {
  auto prepared = prepare(options, deadline, cancel);
  if (!prepared) {
    return tl::unexpected{prepared.error()};
  }
  std::unique_ptr<Impl> impl = std::move(*prepared);
  impl->link = link;
  if (const auto* simulated = std::get_if<SimLink>(&link.target)) {
    auto started = Simulator::start(*simulated, options.catalog, deadline, cancel);
    if (!started) {
      return tl::unexpected{started.error()};
    }
    impl->simulator = std::move(*started);
    SerialLink pty;
    pty.path = impl->simulator->port();
    pty.own = true;
    impl->link.target = pty;
  } else if (auto* serial = std::get_if<SerialLink>(&impl->link.target)) {
    impl->can_reopen = true;
    auto way = open_transport(impl->link, options.line, deadline, cancel);
    if (!way) {
      return tl::unexpected{way.error()};
    }
    serial->path = stable_name(serial->path);
    impl->opened_at = monotonic_now();
    return begin(std::move(impl), std::move(*way));
  } else if (const auto* recorded = std::get_if<TraceLink>(&link.target)) {
    auto replay = Replay::open(recorded->path);
    if (!replay) {
      return tl::unexpected{replay.error()};
    }
    impl->replay = std::move(*replay);
    impl->can_reopen = true;
    impl->seed = impl->replay->preamble().seed;
    impl->options.unit_address = impl->replay->preamble().unit_address;
    impl->opened_at = monotonic_now();
    Transport way = impl->replayed(impl->opened_at);
    return begin(std::move(impl), std::move(way));
  } else {
    impl->can_reopen = true;
  }
  auto way = open_transport(impl->link, options.line, deadline, cancel);
  if (!way) {
    return tl::unexpected{impl->explained(way.error())};
  }
  impl->opened_at = monotonic_now();
  return begin(std::move(impl), std::move(*way));
}

Result<Session> Session::over(std::unique_ptr<Port> port, const SessionOptions& options, bool own,
                              Deadline deadline, const CancelToken& cancel) {
  auto impl = prepare(options, deadline, cancel);
  if (!impl) {
    return tl::unexpected{impl.error()};
  }
  Transport way;
  way.line = options.line;
  way.own = own;
  way.port = std::move(port);
  (*impl)->opened_at = way.port->now();
  return begin(std::move(*impl), std::move(way));
}

Result<Session> Session::begin(std::unique_ptr<Impl> impl, Transport way) {
  auto done = impl->begin(std::move(way));
  // An adapter that is shaken loose comes back; a server that hangs up at once does so again.
  const bool is_adapter = std::holds_alternative<SerialLink>(impl->link.target) && impl->can_reopen;
  if (!done && done.error().fault == Fault::kGone && is_adapter) {
    done = impl->reopen();
  }
  if (!done) {
    return tl::unexpected{done.error()};
  }
  return Session{std::move(impl)};
}

}  // namespace host::link
