#include <algorithm>
#include <utility>

#include <fmt/core.h>

#include "host/link/session_impl.hpp"

namespace host::link {

using protocol::base::Duration;
using protocol::base::milliseconds;

namespace {

constexpr Duration kReopenPauseMin = milliseconds(100);
constexpr Duration kReopenPauseMax = milliseconds(2000);

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

protocol::session::Statistics sum(const protocol::session::Statistics& a,
                                  const protocol::session::Statistics& b) {
  protocol::session::Statistics all = b;
  all.transactions += a.transactions;
  all.octets_sent += a.octets_sent;
  all.octets_received += a.octets_received;
  all.retries += a.retries;
  all.fences += a.fences;
  all.fences_missing += a.fences_missing;
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

Result<void> Session::Impl::come_back() {
  if (replay != nullptr) {
    return begin(replayed(talk->port().now()));
  }
  auto way = open_transport(link, options.line, deadline, *cancel);
  if (!way) {
    return tl::unexpected{way.error()};
  }
  return begin(std::move(*way));
}

Result<void> Session::Impl::reopen() {
  if (!can_reopen) {
    return failure(Fault::kGone, fmt::format("{} does not come back", talk->port().name()));
  }
  before = sum(before, talk->statistics());
  const std::string name = talk->port().name();
  talk->close();
  Duration wait = kReopenPauseMin;
  while (true) {
    auto waited = replay != nullptr ? Result<void>{} : pause(wait, deadline, *cancel);
    if (!waited) {
      if (waited.error().fault == Fault::kOutOfTime) {
        waited.error().message = fmt::format("{} went away and did not come back in time", name);
        waited.error().remedy = "plug it in again, or see why its far end went away, then start again";
        waited.error().port = name;
      }
      return waited;
    }
    wait = std::min(2 * wait, kReopenPauseMax);
    ++reopened;
    auto back = come_back();
    if (back || replay != nullptr || !may_come_back(back.error().fault)) {
      return back;
    }
    --reopened;
  }
}

}  // namespace host::link
