#include "host/link/session.hpp"

#include <algorithm>
#include <utility>

#include <fmt/core.h>

#include "host/link/session_impl.hpp"
#include "protocol/pdu/function.hpp"
#include "protocol/rtu/line_timing.hpp"
#include "protocol/session/answer.hpp"

namespace host::link {

using protocol::base::Duration;
namespace pdu = protocol::pdu;

namespace {

// More pages than 256 objects can fill would be a unit that sends us round in circles.
constexpr int kIdentificationPagesMax = 64;

}  // namespace

Session::Session(std::unique_ptr<Impl> impl) : impl_{std::move(impl)} {}
Session::Session(Session&&) noexcept = default;
Session& Session::operator=(Session&&) noexcept = default;
Session::~Session() = default;

Result<pdu::Response> Session::Impl::ask(const pdu::Request& request) {
  auto answer = talk->ask(request);
  if (!answer) {
    LinkError error = explained(std::move(answer.error()));
    // Reads that the client doesn't know of would spoil the fence of a unit that has only reads for one.
    return tl::unexpected{options.has_diagnostics ? second_look(std::move(error)) : std::move(error)};
  }
  const auto& timing = talk->way().line;
  const protocol::rtu::LineTiming line{timing.baud, static_cast<std::uint8_t>(bits_per_character(timing))};
  const std::size_t octets =
      request.octets().size() + answer->octets().size() + 2 * protocol::rtu::kAduOverhead;
  const Duration beyond = std::max(Duration{}, talk->statistics().answer_time_last - line.wire_time(octets));
  turnaround = std::min(turnaround.value_or(beyond), beyond);
  return answer;
}

Result<void> Session::reopen() {
  return impl_->reopen();
}

std::uint8_t Session::unit_address() const {
  return impl_->options.unit_address;
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
  // Function, number of octets, then the words; match() has held the number.
  const protocol::base::Octets octets = response->octets();
  std::vector<std::uint16_t> words(response->word_count());
  for (std::size_t i = 0; i < words.size(); ++i) {
    words[i] = protocol::base::read_be16(octets, 2 + 2 * i);
  }
  return words;
}

Result<std::vector<bool>> Session::read_bits(BitTable table, std::uint16_t address, std::uint16_t count) {
  if (count < 1 || count > pdu::kReadBitsMax) {
    return failure(Fault::kBrokenPrecondition, fmt::format("{} bits can't be read at once", count));
  }
  const pdu::Request request =
      table == BitTable::kCoils ? pdu::read_coils(address, count) : pdu::read_discrete_inputs(address, count);
  const auto response = impl_->ask(request);
  if (!response) {
    return tl::unexpected{response.error()};
  }
  std::vector<bool> bits;
  bits.reserve(count);
  for (std::uint16_t i = 0; i < count; ++i) {
    bits.push_back(response->bit(i));
  }
  return bits;
}

Result<void> Session::write(std::uint16_t address, std::span<const std::uint16_t> words) {
  if (words.empty() || words.size() > pdu::kWriteRegistersMax) {
    return failure(Fault::kBrokenPrecondition,
                   fmt::format("{} registers can't be written at once", words.size()));
  }
  const pdu::Request request = words.size() == 1 ? pdu::write_single_register(address, words.front())
                                                 : pdu::write_multiple_registers(address, words);
  const auto response = ask(request);
  return response ? Result<void>{} : Result<void>{tl::unexpected{response.error()}};
}

Result<void> Session::Impl::check(const pdu::Request& request) const {
  if (const auto refused = options.writes.refusal(request)) {
    LinkError error =
        link_error(Fault::kNotAllowed, fmt::format("nothing was sent: {}", *refused),
                   "name what may be written, and between which bounds, when opening the session");
    error.port = talk->port().name();
    error.register_address = request.address();
    return tl::unexpected{std::move(error)};
  }
  return {};
}

Result<pdu::Response> Session::ask(const pdu::Request& request) {
  if (auto allowed = impl_->check(request); !allowed) {
    return tl::unexpected{allowed.error()};
  }
  return impl_->ask(request);
}

Result<void> Session::broadcast(const pdu::Request& request) {
  if (!protocol::session::may_be_broadcast(static_cast<std::uint8_t>(request.function()))) {
    return failure(Fault::kBrokenPrecondition, "only a write can go to all units, for none of them answers");
  }
  if (auto allowed = impl_->check(request); !allowed) {
    return allowed;
  }
  return impl_->talk->broadcast(request);
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
