#include "host/link/session.hpp"

#include <array>
#include <utility>

#include <fmt/core.h>
#include <sys/random.h>

#include "host/link/conversation.hpp"
#include "host/link/serial_port.hpp"
#include "host/link/simulator.hpp"
#include "protocol/pdu/function.hpp"
#include "protocol/pdu/request.hpp"

namespace host::link {

using protocol::base::Duration;
using protocol::base::Instant;
namespace pdu = protocol::pdu;

namespace {

// More pages than 256 objects can fill would be a unit that sends us round in circles.
constexpr int kIdentificationPagesMax = 64;

std::uint32_t drawn_seed() {
  std::uint32_t seed = 0;
  if (::getrandom(&seed, sizeof seed, 0) != static_cast<ssize_t>(sizeof seed) || seed == 0) {
    seed = static_cast<std::uint32_t>(monotonic_now().time_since_epoch().count()) | 1U;
  }
  return seed;
}

protocol::session::ClientSettings client_settings(const SessionOptions& options, const LineSettings& line) {
  protocol::session::ClientSettings settings;
  settings.unit_address = options.unit_address;
  settings.timing = {line.baud, static_cast<std::uint8_t>(bits_per_character(line))};
  settings.turnaround_max = options.turnaround_max;
  settings.adapter_latency_max = options.adapter_latency_max;
  settings.probe_address = options.probe_address;
  settings.seed = options.seed.value_or(drawn_seed());
  return settings;
}

Result<void> check(const SessionOptions& options) {
  if (options.unit_address < 1 || options.unit_address > pdu::kUnitAddressMax) {
    return failure(Fault::kBadLink, fmt::format("{} is no unit address", options.unit_address),
                   fmt::format("addresses are 1 to {}", pdu::kUnitAddressMax));
  }
  return {};
}

}  // namespace

struct Session::Impl {
  std::optional<Simulator> simulator;  // outlives the port, which is closed first
  std::unique_ptr<Conversation> talk;
  SessionOptions options;
  Instant opened_at{};

  // A unit that vanished did so because its simulator ended, and that one may have said why.
  LinkError explained(LinkError error) {
    if (simulator.has_value() && error.fault != Fault::kCancelled) {
      const Duration patience = protocol::base::milliseconds(error.fault == Fault::kGone ? 200 : 0);
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

  Result<pdu::Response> ask(const pdu::Request& request) {
    return talk->ask(request).map_error([this](LinkError error) { return explained(std::move(error)); });
  }

  Result<DeviceObjects> objects(pdu::ReadDeviceId code);
};

Session::Session(std::unique_ptr<Impl> impl) : impl_{std::move(impl)} {}
Session::Session(Session&&) noexcept = default;
Session& Session::operator=(Session&&) noexcept = default;
Session::~Session() = default;

Result<Session> Session::open(const LinkUrl& link, const SessionOptions& options, Deadline deadline,
                              const CancelToken& cancel) {
  if (auto sound = check(options); !sound) {
    return tl::unexpected{sound.error()};
  }
  auto impl = std::make_unique<Impl>();
  impl->options = options;
  std::string path;
  LineSettings line = options.line;
  bool own = true;
  if (const auto* serial = std::get_if<SerialLink>(&link.target)) {
    path = serial->path;
    line = settled(*serial, options.line);
    own = serial->own;
  } else {
    auto started = Simulator::start(std::get<SimLink>(link.target), options.catalog, deadline, cancel);
    if (!started) {
      return tl::unexpected{started.error()};
    }
    impl->simulator = std::move(*started);
    path = impl->simulator->port();
  }
  auto handle = SerialHandle::open(path, line);
  if (!handle) {
    return tl::unexpected{impl->explained(handle.error())};
  }
  auto port = SerialPort::over(std::make_shared<EventLoop>(), std::move(*handle));
  if (!port) {
    return tl::unexpected{port.error()};
  }
  impl->opened_at = monotonic_now();
  impl->talk = std::make_unique<Conversation>(std::move(*port), line, client_settings(options, line),
                                              deadline, cancel);
  return begin(std::move(impl), own);
}

Result<Session> Session::over(std::unique_ptr<Port> port, const SessionOptions& options, bool own,
                              Deadline deadline, const CancelToken& cancel) {
  if (auto sound = check(options); !sound) {
    return tl::unexpected{sound.error()};
  }
  auto impl = std::make_unique<Impl>();
  impl->options = options;
  impl->opened_at = port->now();
  impl->talk = std::make_unique<Conversation>(std::move(port), options.line,
                                              client_settings(options, options.line), deadline, cancel);
  return begin(std::move(impl), own);
}

Result<Session> Session::begin(std::unique_ptr<Impl> impl, bool own) {
  Result<void> done;
  if (!own && !impl->options.share) {
    done = impl->talk->listen(impl->options.listen_for);
  }
  if (done) {
    done = impl->talk->begin();
  }
  if (!done) {
    return tl::unexpected{impl->explained(done.error())};
  }
  return Session{std::move(impl)};
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

WireStatistics Session::statistics() const {
  return WireStatistics{impl_->talk->client().statistics(), impl_->talk->port().now() - impl_->opened_at};
}

bool Session::line_gate_broken() const {
  return impl_->talk->client().line_gate_broken();
}

const std::string& Session::port() const {
  return impl_->talk->port().name();
}

const LineSettings& Session::line() const {
  return impl_->talk->line();
}

}  // namespace host::link
