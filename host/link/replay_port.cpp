#include "host/link/replay_port.hpp"

#include <algorithm>
#include <cerrno>
#include <utility>
#include <vector>

#include <fmt/core.h>

#include "host/link/foreign_words.hpp"

namespace host::link {

namespace {

using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::Octets;
using trace::Record;

LinkError bad_trace(const trace::TraceError& error) {
  Fault fault = Fault::kBadTrace;
  if (error.reason == ENOENT || error.reason == ENOTDIR) {
    fault = Fault::kTraceMissing;
  } else if (error.reason == EACCES || error.reason == EPERM) {
    fault = Fault::kTraceUnreadable;
  }
  return link_error(fault, error.message, error.remedy);
}

}  // namespace

Replay::Replay(std::unique_ptr<trace::Reader> reader, std::string path)
    : reader_{std::move(reader)}, name_{"trace:" + std::move(path)} {
  take();
}

Result<std::shared_ptr<Replay>> Replay::open(const std::string& path) {
  auto reader = trace::Reader::open(path);
  if (!reader) {
    return tl::unexpected{bad_trace(reader.error())};
  }
  if (!(*reader)->preamble() || !(*reader)->carrier()) {
    return tl::unexpected{bad_trace({path + " is a capture, but not one that strapline has written",
                                     "give a file that --trace has written"})};
  }
  return std::shared_ptr<Replay>{new Replay{std::move(*reader), path}};
}

void Replay::take() {
  auto read = reader_->next();
  if (read) {
    next_ = std::move(*read);
  } else {
    next_ = tl::unexpected{bad_trace(read.error())};
  }
}

ReplayPort::ReplayPort(std::shared_ptr<Replay> replay, Instant start)
    : replay_{std::move(replay)}, now_{start}, anchor_{start} {}

Result<void> ReplayPort::send(Octets octets) {
  if (!open_) {
    return failure(Fault::kGone, fmt::format("{} is closed", name()));
  }
  // What came before this was sent is older than it, however the clocks compare.
  while (open_ && next_event()) {
    deliver();
  }
  if (!open_) {
    return failure(Fault::kGone, fmt::format("{}: the port went away", name()));
  }
  const auto& next = replay_->next();
  if (!next) {
    return tl::unexpected{next.error()};
  }
  if (!next->has_value()) {
    return failure(Fault::kTraceEnded, fmt::format("{} ends before this was asked: {}", name(), hex(octets)),
                   "the trace is of another kit or another command, or it was cut");
  }
  const Record& recorded = **next;
  if (!std::equal(octets.begin(), octets.end(), recorded.octets.begin(), recorded.octets.end())) {
    return failure(Fault::kTraceEnded,
                   fmt::format("{} doesn't hold what is asked: {} in place of {}", name(),
                               hex(recorded.octets), hex(octets)),
                   "the trace is of another kit, another command or another version");
  }
  anchor_ = now_;
  anchor_us_ = recorded.at_us;
  replay_->take();
  return {};
}

std::optional<Instant> ReplayPort::next_event() const {
  const auto& next = replay_->next();
  if (!open_ || !next || !next->has_value() || (*next)->kind == Record::Kind::kSent) {
    return std::nullopt;
  }
  // A clock that was set while the trace was written must not hold anything up.
  constexpr Duration kMost = protocol::base::milliseconds(3'600'000);
  const Duration since{(*next)->at_us - anchor_us_.value_or((*next)->at_us)};
  return std::max(now_, anchor_ + std::clamp(since, Duration{}, kMost));
}

void ReplayPort::deliver() {
  const Record record = **replay_->next();
  replay_->take();
  if (!anchor_us_) {
    anchor_ = now_;
    anchor_us_ = record.at_us;
  }
  switch (record.kind) {
    case Record::Kind::kSent: return;
    case Record::Kind::kDamaged:
      if (listener_ != nullptr) {
        listener_->octet_damaged(now_);
      }
      return;
    case Record::Kind::kLost: {
      open_ = false;
      if (listener_ != nullptr) {
        LinkError error = link_error(Fault::kGone, fmt::format("{}: the port went away", name()));
        error.port = name();
        listener_->lost(error);
      }
      return;
    }
    case Record::Kind::kReceived: break;
  }
  // What came in one piece was written frame by frame.
  constexpr std::size_t kMost = 4096;
  std::vector<std::uint8_t> octets = record.octets;
  while (replay_->next() && replay_->next()->has_value() &&
         (*replay_->next())->kind == Record::Kind::kReceived && (*replay_->next())->at_us == record.at_us &&
         octets.size() < kMost) {
    const auto& more = (*replay_->next())->octets;
    octets.insert(octets.end(), more.begin(), more.end());
    replay_->take();
  }
  if (listener_ != nullptr) {
    listener_->octets_arrived(octets, now_);
  }
}

bool ReplayPort::babble(Instant until) {
  // Shorter than what any line calls quiet: 3.5 characters are never less than 1.75 ms.
  constexpr Duration kEvery = protocol::base::milliseconds(1);
  const Record& next = **replay_->next();
  // In a stream of Modbus/TCP, octets that never came would put all behind them out of step.
  const bool is_line = replay_->preamble().carrier == trace::Carrier::kRtu;
  if (next.left_out == 0 || !is_line || now_ + kEvery >= until || listener_ == nullptr) {
    return false;
  }
  now_ += kEvery;
  if (next.kind == Record::Kind::kDamaged) {
    listener_->octet_damaged(now_);
  } else if (next.kind == Record::Kind::kReceived) {
    const std::vector<std::uint8_t> octets = next.octets;
    listener_->octets_arrived(octets, now_);
  }
  return true;
}

Result<void> ReplayPort::run_one(const CancelToken& cancel) {
  if (cancel.cancelled()) {
    return tl::unexpected{cancelled_error(cancel)};
  }
  if (!replay_->next()) {
    return tl::unexpected{replay_->next().error()};
  }
  // Who was woken late read what had come meanwhile first, for had it acted on the time, its next word would
  // stand before that in the trace.
  constexpr Duration kWokenLate = protocol::base::milliseconds(1);
  const auto event = next_event();
  if (event && babble(std::min(*event, wake_))) {
    return {};
  }
  const bool comes_first = event && (*event <= wake_ || *event - wake_ <= kWokenLate);
  if (comes_first) {
    now_ = *event;
    deliver();
    return {};
  }
  if (wake_ == Instant::max()) {
    return failure(Fault::kBrokenPrecondition, "a wait for nothing");
  }
  now_ = std::max(now_, std::exchange(wake_, Instant::max()));
  if (listener_ != nullptr && open_) {
    listener_->woken(now_);
  }
  return {};
}

void ReplayPort::close() {
  open_ = false;
  listener_ = nullptr;
}

}  // namespace host::link
