#include "host/link/scan/scan.hpp"

#include <algorithm>
#include <utility>

#include <fmt/core.h>

#include "host/link/conversation.hpp"
#include "host/link/foreign_words.hpp"
#include "host/link/scan/probable_settings.hpp"
#include "host/link/simulator.hpp"
#include "host/link/tcp_connect.hpp"
#include "host/link/traced_port.hpp"
#include "protocol/points/layout.hpp"

namespace host::link::scan {

namespace {

using protocol::base::Duration;
using protocol::base::milliseconds;

// A unit that is there answers much sooner; boards declare up to 200 ms, so who was silent is asked again
// slowly.
constexpr Duration kQuick = milliseconds(60);
constexpr Duration kPatient = milliseconds(220);
constexpr std::uint8_t kLowAddresses = 4;
// Where more addresses than these are disturbed, the line is.
constexpr std::size_t kSuspectsMax = 4;

bool over(const LinkError& error) {
  return error.fault != Fault::kSettingsRefused;
}

class Search {
 public:
  Search(const LinkUrl& link, const ScanOptions& options, Deadline deadline, const CancelToken& cancel)
      : link_{link}, options_{options}, deadline_{deadline}, cancel_{cancel} {}

  ScanResult run() {
    if (auto done = prepare(); !done) {
      result_.ended = done.error();
      return std::move(result_);
    }
    return result_of_search();
  }

  // The line's own settings, which can't be changed.
  ScanResult run_over(Transport way) {
    settings_ = {way.line};
    given_ = std::move(way);
    return result_of_search();
  }

 private:
  Result<void> prepare() {
    if (const auto* simulated = std::get_if<SimLink>(&link_.target)) {
      auto started = Simulator::start(*simulated, options_.catalog, deadline_, cancel_);
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

  ScanResult result_of_search() {
    if (auto done = search(); !done) {
      result_.ended = done.error();
    }
    for (Suspect& suspect : suspects_) {
      if (suspect.setting == found_at_) result_.units.push_back(std::move(suspect.unit));
    }
    return std::move(result_);
  }

  [[nodiscard]] bool worth_trying(std::size_t setting) const {
    return result_.units.empty() &&
           (suspects_.empty() || settings_[setting].baud == settings_[found_at_].baud);
  }

  Result<void> search() {
    const std::uint8_t low_last = std::min<std::uint8_t>(
        options_.last_address,
        static_cast<std::uint8_t>(std::min<unsigned>(options_.first_address + kLowAddresses - 1U, 247U)));
    if (auto done = at_settings(options_.first_address, low_last);
        !done || low_last == options_.last_address) {
      return done;
    }
    const auto next = static_cast<std::uint8_t>(low_last + 1);
    if (!nobody_yet()) {
      return at_setting(found_at_, next, options_.last_address, kQuick);
    }
    return at_settings(next, options_.last_address);
  }

  [[nodiscard]] bool nobody_yet() const { return result_.units.empty() && suspects_.empty(); }

  Result<void> at_settings(std::uint8_t first, std::uint8_t last) {
    for (const Duration patience : {kQuick, kPatient}) {
      for (std::size_t i = 0; i < settings_.size() && (patience == kQuick || nobody_yet()); ++i) {
        if (!worth_trying(i)) continue;
        if (auto done = at_setting(i, first, last, patience); !done) {
          return done;
        }
      }
    }
    return {};
  }

  Result<Transport> opened(const LineSettings& line) {
    if (given_) {
      return std::exchange(*given_, Transport{});
    }
    LinkUrl link = link_;
    if (auto* serial = std::get_if<SerialLink>(&link.target)) {
      serial->baud = line.baud;
      serial->parity = line.parity;
      serial->stop_bits = line.stop_bits;
    }
    auto way = open_transport(link, line, deadline_, cancel_);
    if (way && options_.trace != nullptr) {
      options_.trace->begin(preamble_of(*way), wall_us(), way->port->now());
      way->port = traced(std::move(way->port), *options_.trace);
    }
    return way;
  }

  static std::int64_t wall_us() {
    const auto since = std::chrono::system_clock::now().time_since_epoch();
    return std::chrono::duration_cast<std::chrono::microseconds>(since).count();
  }

  Tried& tried_at(const std::string& place, std::uint8_t first) {
    const auto known = std::find_if(result_.tried.begin(), result_.tried.end(),
                                    [&](const Tried& tried) { return tried.place == place; });
    if (known != result_.tried.end()) {
      return *known;
    }
    result_.tried.push_back({place, 0, first, first, false});
    return result_.tried.back();
  }

  Result<void> at_setting(std::size_t index, std::uint8_t first, std::uint8_t last, Duration patience) {
    auto way = opened(settings_[index]);
    if (!way) {
      // Not every adapter has every speed; the others are tried all the same.
      return over(way.error()) ? Result<void>{tl::unexpected{way.error()}} : Result<void>{};
    }
    Result<void> done = ask_all(*way, index, first, last, patience);
    if (given_) {
      given_ = std::move(*way);
    } else {
      way->port->close();
    }
    return done;
  }

  Result<void> ask_all(Transport& way, std::size_t index, std::uint8_t first, std::uint8_t last,
                       Duration patience) {
    Asker asker{way, deadline_, cancel_};
    const std::string place = place_in_words(way);
    if (!way.own && !options_.share && !listened_) {
      const auto heard = asker.listen(options_.listen_for);
      if (!heard) {
        return tl::unexpected{heard.error()};
      }
      if (!heard->empty()) {
        return failure(Fault::kForeignTraffic,
                       fmt::format("somebody else is talking on {} ({})", place, words_of_foreign(*heard)),
                       "take the other master off this line, or go on beside it with --share");
      }
    }
    listened_ = true;
    const Duration waits = patience + way.adapter_latency.value_or(milliseconds(16));
    const auto probe = protocol::pdu::read_input_registers(
        protocol::points::layout(protocol::points::Point::kIdentitySerial).address, 1);
    std::vector<std::uint8_t> disturbed;
    bool any_silent = first == last;
    for (unsigned address = first; address <= last; ++address) {
      if (options_.progress) {
        options_.progress(place, address);
      }
      const auto unit = static_cast<std::uint8_t>(address);
      Tried& tried = tried_at(place, first);
      ++tried.questions;
      tried.highest = std::max(tried.highest, unit);
      const auto heard = asker.ask(unit, probe, waits);
      if (!heard) {
        return tl::unexpected{heard.error()};
      }
      tried.noise = tried.noise || heard->noisy;
      any_silent = any_silent || !(heard->answer || heard->noisy);
      // Two units that share an address may spoil even this; a damaged answer is worth a second look.
      if (heard->answer || (heard->noisy && answers_all_the_same(asker, unit, waits))) {
        if (auto named = name(asker, way, unit, *heard, waits); !named) {
          return named;
        }
        found_at_ = index;
      } else if (heard->noisy && disturbed.size() <= kSuspectsMax) {
        const auto shared = sharing(asker, unit, probe, waits);
        if (!shared) {
          return tl::unexpected{shared.error()};
        }
        if (*shared == Sharing::kLikely) disturbed.push_back(unit);
      }
    }
    if (!any_silent || disturbed.empty() || disturbed.size() > kSuspectsMax) {
      return {};
    }
    const auto unasked = asker.listen(waits);
    if (!unasked) {
      return tl::unexpected{unasked.error()};
    }
    if (unasked->empty()) suspect(way, index, disturbed);
    return {};
  }

  void suspect(const Transport& way, std::size_t setting, const std::vector<std::uint8_t>& addresses) {
    if (nobody_yet()) found_at_ = setting;
    UnitIdentity unknown;
    unknown.sharing = Sharing::kLikely;
    for (const std::uint8_t address : addresses) {
      suspects_.push_back({setting, {link_text(way), place_in_words(way), address, unknown, {}}});
    }
  }

  static bool answers_all_the_same(Asker& asker, std::uint8_t unit, Duration waits) {
    const auto heard = asker.ask(
        unit, protocol::pdu::read_device_identification(protocol::pdu::ReadDeviceId::kBasic, 0), waits);
    return heard && heard->answer.has_value();
  }

  Result<void> name(Asker& asker, const Transport& way, std::uint8_t unit, const Heard& heard,
                    Duration waits) {
    const auto identity = identify(asker, unit, waits);
    if (!identity) {
      return tl::unexpected{identity.error()};
    }
    const protocol::rtu::LineTiming timing{way.line.baud,
                                           static_cast<std::uint8_t>(bits_per_character(way.line))};
    constexpr std::size_t kProbeOctets = 8 + 7;
    result_.units.push_back({link_text(way), place_in_words(way), unit, *identity,
                             std::max(Duration{}, heard.took - timing.wire_time(kProbeOctets))});
    return {};
  }

  std::string place_in_words(const Transport& way) const { return simulator_ ? link_.text : place_of(way); }

  std::string link_text(const Transport& way) const {
    if (simulator_ || given_) {
      return link_.text;
    }
    if (const auto* serial = std::get_if<SerialLink>(&link_.target)) {
      constexpr std::array<std::string_view, 3> kParities{"none", "even", "odd"};
      return fmt::format("serial:{}?baud={}&parity={}&stop={}", serial->path, way.line.baud,
                         kParities.at(static_cast<std::size_t>(way.line.parity)), way.line.stop_bits);
    }
    return to_text(std::get<TcpLink>(link_.target));
  }

  LinkUrl link_;
  const ScanOptions& options_;
  Deadline deadline_;
  const CancelToken& cancel_;
  std::optional<Simulator> simulator_;
  std::optional<Transport> given_;
  std::vector<LineSettings> settings_;
  struct Suspect {
    std::size_t setting;
    FoundUnit unit;
  };
  std::vector<Suspect> suspects_;  // addresses of which only damage comes
  std::size_t found_at_ = 0;       // where a unit was, else where the first suspect was
  bool listened_ = false;
  ScanResult result_;
};

}  // namespace

ScanResult scan(const LinkUrl& link, const ScanOptions& options, Deadline deadline,
                const CancelToken& cancel) {
  return Search{link, options, deadline, cancel}.run();
}

ScanResult scan_open(Transport way, const ScanOptions& options, Deadline deadline,
                     const CancelToken& cancel) {
  return Search{LinkUrl{way.port->name(), SerialLink{}}, options, deadline, cancel}.run_over(std::move(way));
}

}  // namespace host::link::scan
