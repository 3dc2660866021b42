#include "host/link/session.hpp"

#include <algorithm>
#include <utility>

#include <fmt/core.h>
#include <sys/random.h>

#include "host/link/conversation.hpp"
#include "host/link/simulator.hpp"
#include "host/link/transport.hpp"
#include "protocol/pdu/function.hpp"

namespace host::link {

using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::milliseconds;
namespace pdu = protocol::pdu;

namespace {

// More pages than 256 objects can fill would be a unit that sends us round in circles.
constexpr int kIdentificationPagesMax = 64;
constexpr Duration kReopenPauseMin = milliseconds(100);
constexpr Duration kReopenPauseMax = milliseconds(2000);

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

protocol::session::Statistics sum(const protocol::session::Statistics& a,
                                  const protocol::session::Statistics& b) {
  protocol::session::Statistics all = b;
  all.transactions += a.transactions;
  all.octets_sent += a.octets_sent;
  all.octets_received += a.octets_received;
  all.retries += a.retries;
  all.fences += a.fences;
  all.spacers += a.spacers;
  all.frames_good += a.frames_good;
  all.frames_bad += a.frames_bad;
  all.frames_stale += a.frames_stale;
  all.frames_foreign += a.frames_foreign;
  all.timeouts += a.timeouts;
  all.octets_stray += a.octets_stray;
  all.octets_skipped += a.octets_skipped;
  all.answer_time_max = std::max(a.answer_time_max, b.answer_time_max);
  return all;
}

// What may pass by itself while a device comes back: its node, its rights, whoever looks at it first.
bool may_come_back(Fault fault) {
  switch (fault) {
    case Fault::kPortMissing:
    case Fault::kNotATerminal:
    case Fault::kNoRights:
    case Fault::kBusy:
    case Fault::kSettingsRefused:
    case Fault::kGone:
    case Fault::kPortFailed:
    case Fault::kConnectionRefused:
    case Fault::kUnreachable:
    case Fault::kHostUnknown: return true;
    default: return false;
  }
}

}  // namespace

struct Session::Impl {
  std::optional<Simulator> simulator;  // outlives the port, which is closed first
  std::unique_ptr<Conversation> talk;
  LinkUrl link;
  SessionOptions options;
  Deadline deadline;
  const CancelToken* cancel = nullptr;
  std::uint32_t seed = 1;
  std::uint32_t reopened = 0;
  bool can_reopen = false;
  Instant opened_at{};
  protocol::session::Statistics before;  // of conversations that ended with their port
  std::optional<Duration> turnaround;    // the shortest measured

  // A unit that vanished did so because its simulator ended, and that one may have said why.
  LinkError explained(LinkError error) {
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

  protocol::session::ClientSettings client_settings(const Transport& way) const {
    protocol::session::ClientSettings settings;
    settings.unit_address = options.unit_address;
    settings.timing = {way.line.baud, static_cast<std::uint8_t>(bits_per_character(way.line))};
    settings.turnaround_max = options.turnaround_max;
    settings.adapter_latency_max = way.adapter_latency.value_or(options.adapter_latency_max);
    settings.probe_address = options.probe_address;
    settings.seed = seed + reopened;
    return settings;
  }

  Result<void> begin(Transport way) {
    const bool listens = !way.own && !options.share;
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
      return tl::unexpected{explained(done.error())};
    }
    return {};
  }

  Result<void> come_back() {
    auto way = open_transport(link, options.line, deadline, *cancel);
    if (!way) {
      return tl::unexpected{way.error()};
    }
    return begin(std::move(*way));
  }

  Result<pdu::Response> ask(const pdu::Request& request) {
    auto answer = talk->ask(request);
    if (!answer) {
      return tl::unexpected{explained(std::move(answer.error()))};
    }
    const auto& timing = talk->way().line;
    const protocol::rtu::LineTiming line{timing.baud, static_cast<std::uint8_t>(bits_per_character(timing))};
    const std::size_t octets =
        request.octets().size() + answer->octets().size() + 2 * protocol::rtu::kAduOverhead;
    const Duration beyond =
        std::max(Duration{}, talk->statistics().answer_time_last - line.wire_time(octets));
    turnaround = std::min(turnaround.value_or(beyond), beyond);
    return answer;
  }

  Result<DeviceObjects> objects(pdu::ReadDeviceId code);
};

Session::Session(std::unique_ptr<Impl> impl) : impl_{std::move(impl)} {}
Session::Session(Session&&) noexcept = default;
Session& Session::operator=(Session&&) noexcept = default;
Session::~Session() = default;

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
  if (auto done = impl->begin(std::move(way)); !done) {
    return tl::unexpected{done.error()};
  }
  return Session{std::move(impl)};
}

Result<void> Session::reopen() {
  if (!impl_->can_reopen) {
    return failure(Fault::kGone, fmt::format("{} does not come back", port()));
  }
  impl_->before = sum(impl_->before, impl_->talk->statistics());
  const std::string name = port();
  impl_->talk->close();
  Duration wait = kReopenPauseMin;
  while (true) {
    if (auto waited = pause(wait, impl_->deadline, *impl_->cancel); !waited) {
      if (waited.error().fault == Fault::kOutOfTime) {
        waited.error().message = fmt::format("{} went away and did not come back in time", name);
        waited.error().port = name;
      }
      return waited;
    }
    wait = std::min(2 * wait, kReopenPauseMax);
    ++impl_->reopened;
    auto back = impl_->come_back();
    if (back || !may_come_back(back.error().fault)) {
      return back;
    }
    --impl_->reopened;
  }
}

std::uint32_t Session::reopened() const {
  return impl_->reopened;
}

Result<std::vector<std::uint16_t>> Session::read(Table table, std::uint16_t address, std::uint16_t count) {
  if (count < 1 || count > pdu::kReadRegistersMax) {
    return failure(Fault::kBrokenPrecondition, fmt::format("{} registers can't be read at once", count));
  }
  const pdu::Request request = table == Table::kInput ? pdu::read_input_registers(address, count)
                                                      : pdu::read_holding_registers(address, count);
  const auto response = impl_->ask(request);
  if (!response) {
    return tl::unexpected{response.error()};
  }
  std::vector<std::uint16_t> words;
  words.reserve(count);
  for (std::uint16_t i = 0; i < response->word_count(); ++i) {
    words.push_back(response->word(i));
  }
  return words;
}

Result<void> Session::write(std::uint16_t address, std::span<const std::uint16_t> words) {
  if (words.empty() || words.size() > pdu::kWriteRegistersMax) {
    return failure(Fault::kBrokenPrecondition,
                   fmt::format("{} registers can't be written at once", words.size()));
  }
  const pdu::Request request = words.size() == 1 ? pdu::write_single_register(address, words.front())
                                                 : pdu::write_multiple_registers(address, words);
  const auto response = impl_->ask(request);
  return response ? Result<void>{} : Result<void>{tl::unexpected{response.error()}};
}

Result<DeviceObjects> Session::Impl::objects(pdu::ReadDeviceId code) {
  DeviceObjects found;
  std::uint8_t next = 0;
  for (int page = 0; page < kIdentificationPagesMax; ++page) {
    const auto response = ask(pdu::read_device_identification(code, next));
    if (!response) {
      return tl::unexpected{response.error()};
    }
    const pdu::IdentificationPage part = response->identification();
    for (std::uint8_t i = 0; i < part.count(); ++i) {
      const pdu::IdentificationObject object = part.object(i);
      found[object.id] = std::string{object.text};
    }
    if (!part.more_follows()) {
      return found;
    }
    if (part.next_object() <= next) {
      break;
    }
    next = part.next_object();
  }
  return failure(Fault::kSenseless, "the unit's identification never comes to an end",
                 "the unit's firmware is at fault: its list of objects leads back to its beginning");
}

Result<DeviceObjects> Session::identify() {
  // A board may know fewer categories than there are; it answers the others with an exception.
  Result<DeviceObjects> found = impl_->objects(pdu::ReadDeviceId::kExtended);
  for (const auto code : {pdu::ReadDeviceId::kRegular, pdu::ReadDeviceId::kBasic}) {
    if (found || found.error().fault != Fault::kRefused) {
      break;
    }
    found = impl_->objects(code);
  }
  return found;
}

Result<std::vector<std::uint16_t>> Session::read_files(std::span<const pdu::FileRecord> groups) {
  const auto response = impl_->ask(pdu::read_file_records(groups));
  if (!response) {
    return tl::unexpected{response.error()};
  }
  // Function, octets, then each group: its length, the reference type, its words; match() has held the
  // lengths.
  const protocol::base::Octets octets = response->octets();
  std::vector<std::uint16_t> words;
  std::size_t at = 2;
  for (const pdu::FileRecord& group : groups) {
    at += 2;
    for (std::uint16_t i = 0; i < group.count; ++i, at += 2) {
      words.push_back(protocol::base::read_be16(octets, at));
    }
  }
  return words;
}

WireStatistics Session::statistics() const {
  return WireStatistics{sum(impl_->before, impl_->talk->statistics()),
                        impl_->talk->port().now() - impl_->opened_at};
}

bool Session::line_gate_broken() const {
  return statistics().counts.gate_broken();
}

const std::string& Session::port() const {
  return impl_->talk->port().name();
}

const LineSettings& Session::line() const {
  return impl_->talk->way().line;
}

std::string Session::place() const {
  return place_of(impl_->talk->way());
}

std::uint32_t Session::seed() const {
  return impl_->seed;
}

Duration Session::turnaround() const {
  return impl_->turnaround.value_or(
      impl_->talk->way().adapter_latency.value_or(impl_->options.adapter_latency_max));
}

}  // namespace host::link
