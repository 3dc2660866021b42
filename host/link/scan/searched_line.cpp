#include "host/link/scan/searched_line.hpp"

#include <array>
#include <utility>

#include <fmt/core.h>

#include "host/link/conversation.hpp"
#include "host/link/scan/probable_settings.hpp"
#include "host/link/tcp_connect.hpp"
#include "host/link/traced_port.hpp"

namespace host::link::scan {

SearchedLine::SearchedLine(LinkUrl link, Deadline deadline, const CancelToken& cancel)
    : link_{std::move(link)}, deadline_{deadline}, cancel_{cancel} {}

SearchedLine::SearchedLine(std::vector<LineSettings> settings, Opener opener, Deadline deadline,
                           const CancelToken& cancel)
    : link_{"opened by its caller", SerialLink{}},
      deadline_{deadline},
      cancel_{cancel},
      opener_{std::move(opener)},
      settings_{std::move(settings)} {}

Result<void> SearchedLine::prepare(const std::filesystem::path& catalog) {
  if (opener_) {
    return {};
  }
  if (const auto* simulated = std::get_if<SimLink>(&link_.target)) {
    auto started = Simulator::start(*simulated, catalog, deadline_, cancel_);
    if (!started) {
      return tl::unexpected{started.error()};
    }
    simulator_ = std::move(*started);
    SerialLink pty;
    pty.path = simulator_->port();
    pty.own = true;
    link_.target = pty;
  }
  if (const auto* serial = std::get_if<SerialLink>(&link_.target)) {
    settings_ = probable_settings(*serial);
    if (simulator_) {
      settings_.resize(1);  // a pseudo-terminal has no speed
    }
  } else if (std::holds_alternative<TcpLink>(link_.target)) {
    settings_ = {LineSettings{}};
  } else {
    return failure(Fault::kBadLink, "a trace can't be searched", "trace show tells what is in it");
  }
  return {};
}

Result<Transport> SearchedLine::open(std::size_t setting, trace::Writer* trace) {
  const LineSettings& line = settings_[setting];
  if (opener_) {
    return opener_(line);
  }
  LinkUrl link = link_;
  if (auto* serial = std::get_if<SerialLink>(&link.target)) {
    serial->baud = line.baud;
    serial->parity = line.parity;
    serial->stop_bits = line.stop_bits;
  }
  auto way = open_transport(link, line, deadline_, cancel_);
  if (way && trace != nullptr) {
    trace_from_now(*way, *trace, preamble_of(*way));
  }
  return way;
}

LinkError SearchedLine::explained(LinkError error) {
  if (!simulator_ || error.fault != Fault::kGone) {
    return error;
  }
  const std::string why = simulator_->why_ended(protocol::base::milliseconds(200));
  return why.empty() ? error
                     : link_error(Fault::kSimulatorEnded, why, "start again; the simulated unit is gone");
}

std::string SearchedLine::place(const Transport& way) const {
  return simulator_ ? link_.text : place_of(way);
}

std::string SearchedLine::link_text(const Transport& way) const {
  if (simulator_ || opener_) {
    return link_.text;
  }
  if (const auto* serial = std::get_if<SerialLink>(&link_.target)) {
    constexpr std::array<std::string_view, 3> kParities{"none", "even", "odd"};
    return fmt::format("serial:{}?baud={}&parity={}&stop={}", serial->path, way.line.baud,
                       kParities.at(static_cast<std::size_t>(way.line.parity)), way.line.stop_bits);
  }
  return to_text(std::get<TcpLink>(link_.target));
}

}  // namespace host::link::scan
