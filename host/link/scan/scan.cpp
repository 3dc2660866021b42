#include "host/link/scan/scan.hpp"

#include <algorithm>
#include <thread>
#include <utility>

#include <fmt/core.h>

#include "host/link/foreign_words.hpp"
#include "host/link/scan/searched_line.hpp"
#include "protocol/points/layout.hpp"

namespace host::link::scan {

namespace {

using protocol::base::Duration;
using protocol::base::milliseconds;

// A unit that is there answers much sooner; boards declare up to 200 ms, so where nobody answered all are
// asked again slowly.
constexpr Duration kQuick = milliseconds(25);
constexpr Duration kPatient = milliseconds(220);
// Of the probable settings, those at which every address is asked before anybody is waited for.
constexpr std::size_t kProbableSettings = 3;
constexpr unsigned kLowAddresses = 4;
// Where more addresses than these are disturbed, the line is.
constexpr std::size_t kSuspectsMax = 4;

bool over(const LinkError& error) {
  return error.fault != Fault::kSettingsRefused;
}

class LineSearch {
 public:
  LineSearch(SearchedLine& line, const ScanOptions& options, Deadline deadline, const CancelToken& cancel)
      : line_{line}, options_{options}, deadline_{deadline}, cancel_{cancel} {}

  ScanResult run() {
    auto done = line_.prepare(options_.catalog);
    if (done) done = search();
    if (!done) result_.ended = line_.explained(done.error());
    for (Suspect& suspect : suspects_) {
      if (suspect.setting == found_at_) result_.units.push_back(std::move(suspect.unit));
    }
    return std::move(result_);
  }

 private:
  [[nodiscard]] bool worth_trying(std::size_t setting) const {
    const auto& settings = line_.settings();
    return result_.units.empty() && (suspects_.empty() || settings[setting].baud == settings[found_at_].baud);
  }

  /// Addresses, at which of the settings they are asked, and how long each is waited for.
  struct Pass {
    unsigned first, last;
    std::size_t first_setting, last_setting;
    Duration patience;
  };

  Result<void> search() {
    const unsigned first = options_.first_address;
    const unsigned last = options_.last_address;
    const unsigned low_last = std::min(last, first + kLowAddresses - 1U);
    const std::size_t all = line_.settings().size();
    const std::size_t probable = std::min(all, kProbableSettings);
    for (const Pass& pass :
         {Pass{first, low_last, 0, all, kQuick}, Pass{low_last + 1, last, 0, probable, kQuick},
          Pass{first, low_last, 0, all, kPatient}, Pass{low_last + 1, last, probable, all, kQuick},
          Pass{low_last + 1, last, 0, all, kPatient}}) {
      if (auto done = at_settings(pass); !done) {
        return done;
      }
      if (nobody_yet()) continue;
      // Where one is the others are.
      return pass.first == first && low_last < last ? at_setting(found_at_, low_last + 1, last, kQuick)
                                                    : Result<void>{};
    }
    return {};
  }

  [[nodiscard]] bool nobody_yet() const { return result_.units.empty() && suspects_.empty(); }

  Result<void> at_settings(const Pass& pass) {
    for (std::size_t i = pass.first_setting; i < pass.last_setting && pass.first <= pass.last; ++i) {
      if (!worth_trying(i)) continue;
      if (auto done = at_setting(i, pass.first, pass.last, pass.patience); !done) {
        return done;
      }
    }
    return {};
  }

  Tried& tried_at(const std::string& place, unsigned first) {
    const auto known = std::find_if(result_.tried.begin(), result_.tried.end(),
                                    [&](const Tried& tried) { return tried.place == place; });
    if (known != result_.tried.end()) {
      return *known;
    }
    const auto lowest = static_cast<std::uint8_t>(first);
    result_.tried.push_back({place, 0, lowest, lowest, false, {}});
    return result_.tried.back();
  }

  Result<void> at_setting(std::size_t index, unsigned first, unsigned last, Duration patience) {
    auto way = line_.open(index, options_.trace);
    if (!way) {
      // Not every adapter has every speed; the others are tried all the same.
      return over(way.error()) ? Result<void>{tl::unexpected{way.error()}} : Result<void>{};
    }
    const auto before = way->port->line_counters();
    Result<void> done = ask_all(*way, index, first, last, patience);
    if (const auto after = way->port->line_counters()) {
      Tried& tried = tried_at(line_.place(*way), first);
      tried.counted = tried.counted.value_or(LineCounters{});
      *tried.counted += counted(before.value_or(LineCounters{}), *after);
    }
    way->port->close();
    return done;
  }

  Result<void> ask_all(Transport& way, std::size_t index, unsigned first, unsigned last, Duration patience) {
    Asker asker{way, deadline_, cancel_};
    const std::string place = line_.place(way);
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
      suspects_.push_back({setting, {line_.link_text(way), line_.place(way), address, unknown, {}}});
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
    result_.units.push_back({line_.link_text(way), line_.place(way), unit, *identity,
                             std::max(Duration{}, heard.took - timing.wire_time(kProbeOctets))});
    return {};
  }

  SearchedLine& line_;
  const ScanOptions& options_;
  Deadline deadline_;
  const CancelToken& cancel_;
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
  SearchedLine line{link, deadline, cancel};
  return LineSearch{line, options, deadline, cancel}.run();
}

std::vector<ScanResult> scan_all(const std::vector<Search>& searches, Deadline deadline,
                                 const CancelToken& cancel) {
  std::vector<ScanResult> results(searches.size());
  const auto search = [&](std::size_t index) {
    results[index] = scan(searches[index].link, searches[index].options, deadline, cancel);
  };
  std::vector<std::thread> others;
  others.reserve(searches.size());
  for (std::size_t index = 1; index < searches.size(); ++index) others.emplace_back(search, index);
  if (!searches.empty()) search(0);
  for (std::thread& other : others) other.join();
  return results;
}

ScanResult scan_with(const std::vector<LineSettings>& settings, SearchedLine::Opener opener,
                     const ScanOptions& options, Deadline deadline, const CancelToken& cancel) {
  SearchedLine line{settings, std::move(opener), deadline, cancel};
  return LineSearch{line, options, deadline, cancel}.run();
}

}  // namespace host::link::scan
