#include "host/link/stream_port.hpp"

#include <algorithm>
#include <cerrno>
#include <utility>

#include <fmt/core.h>
#include <poll.h>
#include <sys/prctl.h>
#include <unistd.h>

namespace host::link {

namespace {

using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::Octets;

constexpr short kReadable = POLLIN;
constexpr short kWritable = POLLOUT;
constexpr int kGoneQuietly = 0;  // a read of nothing though it waits for one octet: hung up, or closed

timespec until(Instant at) {
  constexpr std::int64_t kSecond = 1'000'000;
  const std::int64_t left_us = std::max(at - monotonic_now(), Duration{}).count();
  return {left_us / kSecond, left_us % kSecond * 1'000};
}

// As ppoll(2) without a mask; no time means for ever.
int wait_for(pollfd* ends, nfds_t count, const std::optional<Instant>& at) {
  if (!at) return ::ppoll(ends, count, nullptr, nullptr);
  const timespec left = until(*at);
  return ::ppoll(ends, count, &left, nullptr);
}

}  // namespace

// The system lets a wait last 50 us longer than asked, for its own ease; a silence is 1.75 ms, and a verify
// keeps ten of them.
StreamPort::StreamPort(std::unique_ptr<Endpoint> endpoint) : endpoint_{std::move(endpoint)} {
  (void)::prctl(PR_SET_TIMERSLACK, 1UL);
}

StreamPort::~StreamPort() {
  StreamPort::close();
}

const std::string& StreamPort::name() const {
  return endpoint_->name();
}

Instant StreamPort::now() const {
  return monotonic_now();
}

void StreamPort::close() {
  listener_ = nullptr;
  shut();
}

void StreamPort::shut() {
  if (!std::exchange(open_, false)) return;
  outgoing_.clear();
  endpoint_->close();
}

LinkError StreamPort::error_of(const std::error_code& error) const {
  const bool quietly = error.value() == kGoneQuietly;
  const std::string why = quietly ? "End of file" : error.message();
  LinkError made = quietly || means_gone(error.value())
                       ? link_error(Fault::kGone, fmt::format("{} went away ({})", name(), why),
                                    std::string{endpoint_->remedy_when_gone()})
                       : link_error(Fault::kPortFailed, fmt::format("{} failed: {}", name(), why),
                                    "look at the system's log for this port");
  made.port = name();
  return made;
}

void StreamPort::lose(const std::error_code& error) {
  const LinkError made = error_of(error);
  shut();
  if (listener_ != nullptr) listener_->lost(made);
}

Result<void> StreamPort::send(Octets octets) {
  if (!open_) {
    return failure(Fault::kGone, fmt::format("{} is closed", name()));
  }
  if (!outgoing_.empty()) {
    return failure(Fault::kPortFailed,
                   fmt::format("{} takes no octets: the last frame is still queued", name()),
                   "look whether the adapter holds its output back (flow control)");
  }
  // A frame nearly always fits the driver's buffer; only what doesn't is left to the waits that follow.
  const ssize_t result = endpoint_->write(octets);
  if (result < 0 && errno != EAGAIN && errno != EINTR) {
    const LinkError lost = error_of({errno, std::generic_category()});
    shut();
    return tl::unexpected{lost};
  }
  const Octets left = octets.subspan(static_cast<std::size_t>(std::max<ssize_t>(result, 0)));
  outgoing_.assign(left.begin(), left.end());
  return {};
}

void StreamPort::write_rest() {
  const ssize_t written = endpoint_->write(outgoing_);
  if (written < 0 && errno != EAGAIN && errno != EINTR) {
    lose({errno, std::generic_category()});
    return;
  }
  outgoing_.erase(outgoing_.begin(), outgoing_.begin() + std::max<ssize_t>(written, 0));
}

// False when nothing has come.
bool StreamPort::read() {
  const ssize_t count = ::read(endpoint_->fd(), incoming_.data(), incoming_.size());
  if (count < 0 && (errno == EAGAIN || errno == EINTR)) return false;
  if (count > 0) {
    hand_over(endpoint_->sound({incoming_.data(), static_cast<std::size_t>(count)}), monotonic_now());
  } else {
    lose({count < 0 ? errno : kGoneQuietly, std::generic_category()});
  }
  return true;
}

// Whether a read that waits by itself, and finds nothing, is still over in time.
bool StreamPort::reads_in_time() const {
  const Duration patience = endpoint_->read_patience();
  return patience > Duration{} && outgoing_.empty() && (!wake_ || *wake_ - monotonic_now() > patience);
}

void StreamPort::hand_over(const ParityMarks::Sound& sound, Instant now) {
  Octets rest{sound.octets};
  std::size_t done = 0;
  for (std::size_t i = 0; i < sound.damage.size(); ++i) {
    const std::size_t place = sound.damage[i];
    tell_octets(rest.first(place - done), now);
    rest = rest.subspan(place - done);
    done = place;
    if (listener_ != nullptr) listener_->octet_was(sound.damaged[i]);
    if (listener_ != nullptr) listener_->octet_damaged(now);
  }
  tell_octets(rest, now);
}

void StreamPort::tell_octets(Octets octets, Instant now) {
  if (listener_ != nullptr && !octets.empty()) listener_->octets_arrived(octets, now);
}

void StreamPort::rung() {
  const Instant now = monotonic_now();
  if (!wake_ || *wake_ > now) return;
  wake_.reset();
  if (listener_ != nullptr) listener_->woken(now);
}

// Sleeps for as long as nothing that comes matters; what has come by then is read without asking whether it
// has. True when something happened: the sleep was ended, or octets were there.
bool StreamPort::rested(const CancelToken& cancel) {
  const auto rest = std::exchange(rest_, std::nullopt);
  if (!rest || (wake_ && *wake_ <= *rest)) return false;
  pollfd stop{cancel.fd(), kReadable, 0};
  return wait_for(&stop, 1, rest) != 0 || read();
}

Result<void> StreamPort::run_one(const CancelToken& cancel) {
  if (!open_) {
    return failure(Fault::kGone, fmt::format("{} is closed", name()));
  }
  const bool done = cancel.cancelled() || rested(cancel) || (reads_in_time() && read());
  if (!done && !cancel.cancelled()) {
    std::array<pollfd, 2> ends{{{endpoint_->fd(), kReadable, 0}, {cancel.fd(), kReadable, 0}}};
    if (!outgoing_.empty()) ends[0].events = static_cast<short>(kReadable | kWritable);
    const int ready = wait_for(ends.data(), ends.size(), wake_);
    if (ready < 0 && errno != EINTR) {
      lose({errno, std::generic_category()});
    } else if (ready == 0) {
      rung();
    } else if (ready > 0) {
      // An error or a hang-up is told by the read.
      if ((ends[0].revents & ~kWritable) != 0) (void)read();
      if (open_ && (ends[0].revents & kWritable) != 0) write_rest();
    }
  }
  if (cancel.cancelled()) {
    return tl::unexpected{cancelled_error(cancel)};
  }
  return {};
}

}  // namespace host::link
