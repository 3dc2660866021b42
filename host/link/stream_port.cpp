#include "host/link/stream_port.hpp"

#include <algorithm>
#include <array>
#include <cerrno>
#include <chrono>
#include <cstdint>
#include <optional>
#include <string>
#include <system_error>
#include <utility>
#include <vector>

#include <asio/buffer.hpp>
#include <asio/error.hpp>
#include <asio/io_context.hpp>
#include <asio/posix/stream_descriptor.hpp>
#include <asio/steady_timer.hpp>
#include <fmt/core.h>
#include <unistd.h>

namespace host::link {

namespace {

// The longest silence between frames, at 1200 Bd, is 32 ms; answers are waited for longer than that.
constexpr protocol::base::Duration kNear = protocol::base::milliseconds(40);

}  // namespace

using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::Octets;

EventLoop::EventLoop() : context_{std::make_unique<asio::io_context>(1)} {}
EventLoop::~EventLoop() = default;

struct StreamPort::State : std::enable_shared_from_this<StreamPort::State> {
  State(asio::io_context& context, std::unique_ptr<Endpoint> opened)
      : endpoint{std::move(opened)}, stream{context}, far{context}, near{context}, cancel_stream{context} {}

  std::unique_ptr<Endpoint> endpoint;
  asio::posix::stream_descriptor stream;

  struct Alarm {
    explicit Alarm(asio::io_context& context) : timer{context} {}
    asio::steady_timer timer;
    std::optional<Instant> rings;
  };
  Alarm far;
  Alarm near;
  asio::posix::stream_descriptor cancel_stream;
  int cancel_fd = -1;  // the token's own number, to see when another token comes
  PortListener* listener = nullptr;
  std::array<std::uint8_t, 1024> incoming{};
  std::vector<std::uint8_t> outgoing;
  bool sending = false;
  bool open = true;
  std::optional<Instant> wake;  // when the listener wants to be woken

  void start_read() {
    stream.async_read_some(asio::buffer(incoming),
                           [self = shared_from_this()](const asio::error_code& error, std::size_t count) {
                             self->read_done(error, count);
                           });
  }

  void read_done(const asio::error_code& error, std::size_t count) {
    if (!open || error == asio::error::operation_aborted) {
      return;
    }
    if (error) {
      lose(error);
      return;
    }
    hand_over(endpoint->sound(Octets{incoming.data(), count}), monotonic_now());
    if (open) {
      start_read();
    }
  }

  void hand_over(const ParityMarks::Sound& sound, Instant now) {
    Octets rest{sound.octets};
    std::size_t done = 0;
    for (const std::size_t place : sound.damage) {
      tell_octets(rest.first(place - done), now);
      rest = rest.subspan(place - done);
      done = place;
      if (listener != nullptr) {
        listener->octet_damaged(now);
      }
    }
    tell_octets(rest, now);
  }

  void tell_octets(Octets octets, Instant now) {
    if (listener != nullptr && !octets.empty()) {
      listener->octets_arrived(octets, now);
    }
  }

  LinkError error_of(const std::error_code& error) const {
    // A read of nothing though it waits for one octet: a terminal hung up, a connection closed.
    const bool gone = error == asio::error::eof || means_gone(error.value());
    LinkError made =
        gone ? link_error(Fault::kGone, fmt::format("{} went away ({})", endpoint->name(), error.message()),
                          std::string{endpoint->remedy_when_gone()})
             : link_error(Fault::kPortFailed, fmt::format("{} failed: {}", endpoint->name(), error.message()),
                          "look at the system's log for this port");
    made.port = endpoint->name();
    return made;
  }

  void lose(const std::error_code& error) {
    const LinkError made = error_of(error);
    shut();
    if (listener != nullptr) {
      listener->lost(made);
    }
  }

  // A wait for an answer is long and nearly always ends early, so its alarm is left running and looks again
  // when it rings: one timer call in many exchanges. A silence to be kept is short and always waited out; its
  // alarm is exact, and setting it costs the long one nothing.
  void set_alarm(Instant at) {
    Alarm& alarm = at - monotonic_now() < kNear ? near : far;
    if (!alarm.rings.has_value() || at < *alarm.rings) {
      arm(alarm, at);
    }
  }

  void arm(Alarm& alarm, Instant at) {
    alarm.rings = at;
    alarm.timer.expires_at(std::chrono::steady_clock::time_point{
        std::chrono::duration_cast<std::chrono::steady_clock::duration>(at.time_since_epoch())});
    alarm.timer.async_wait([self = shared_from_this(), &alarm](const asio::error_code& error) {
      if (self->open && error != asio::error::operation_aborted) {
        alarm.rings.reset();
        self->rung();
      }
    });
  }

  void rung() {
    if (!wake.has_value()) {
      return;
    }
    const Instant now = monotonic_now();
    if (*wake > now) {
      set_alarm(*wake);
      return;
    }
    wake.reset();
    if (listener != nullptr) {
      listener->woken(now);
    }
  }

  void watch(const CancelToken& cancel) {
    if (cancel.fd() == cancel_fd) {
      return;
    }
    asio::error_code ignored;
    cancel_stream.close(ignored);
    cancel_fd = cancel.fd();
    if (cancel_fd < 0) {
      return;
    }
    // A copy, because the loop takes the number over and the token outlives it or not.
    const int copy = ::dup(cancel_fd);
    if (copy < 0) {
      return;
    }
    cancel_stream.assign(copy, ignored);
    cancel_stream.async_wait(asio::posix::stream_descriptor::wait_read,
                             [self = shared_from_this()](const asio::error_code&) {});
  }

  void write_rest(Octets octets) {
    outgoing.assign(octets.begin(), octets.end());
    sending = true;
    wait_to_write();
  }

  void wait_to_write() {
    stream.async_wait(asio::posix::stream_descriptor::wait_write,
                      [self = shared_from_this()](const asio::error_code& error) {
                        if (!self->open || error == asio::error::operation_aborted) {
                          return;
                        }
                        if (error) {
                          self->lose(error);
                          return;
                        }
                        self->write_more();
                      });
  }

  void write_more() {
    const ssize_t written = endpoint->write(outgoing);
    if (written < 0 && errno != EAGAIN && errno != EINTR) {
      lose({errno, std::generic_category()});
      return;
    }
    outgoing.erase(outgoing.begin(), outgoing.begin() + std::max<ssize_t>(written, 0));
    sending = !outgoing.empty();
    if (sending) {
      wait_to_write();
    }
  }

  void shut() {
    if (!open) {
      return;
    }
    open = false;
    asio::error_code ignored;
    far.timer.cancel();
    near.timer.cancel();
    cancel_stream.close(ignored);
    // The loop lets go of the number first; the endpoint restores the settings and closes it.
    (void)stream.release();
    endpoint->close();
  }
};

StreamPort::StreamPort(std::shared_ptr<EventLoop> loop, std::shared_ptr<State> state)
    : loop_{std::move(loop)}, state_{std::move(state)} {}

Result<std::unique_ptr<StreamPort>> StreamPort::over(std::shared_ptr<EventLoop> loop,
                                                     std::unique_ptr<Endpoint> endpoint) {
  const std::string path = endpoint->name();
  std::string why;
  try {
    auto state = std::make_shared<State>(loop->context(), std::move(endpoint));
    state->stream.assign(state->endpoint->fd());
    state->stream.non_blocking(true);
    state->start_read();
    return std::unique_ptr<StreamPort>{new StreamPort{std::move(loop), std::move(state)}};
  } catch (const std::system_error& error) {
    why = error.what();
  }
  LinkError error = link_error(Fault::kPortFailed, fmt::format("can't wait for {}: {}", path, why),
                               "raise the limit of open files, or end what holds them");
  error.port = path;
  return tl::unexpected{std::move(error)};
}

StreamPort::~StreamPort() {
  close();
}

const std::string& StreamPort::name() const {
  return state_->endpoint->name();
}

Instant StreamPort::now() const {
  return monotonic_now();
}

void StreamPort::set_listener(PortListener* listener) {
  state_->listener = listener;
}

Result<void> StreamPort::send(Octets octets) {
  if (!state_->open) {
    return failure(Fault::kGone, fmt::format("{} is closed", name()));
  }
  if (state_->sending) {
    return failure(Fault::kPortFailed,
                   fmt::format("{} takes no octets: the last frame is still queued", name()),
                   "look whether the adapter holds its output back (flow control)");
  }
  // A frame nearly always fits the driver's buffer; only what doesn't is left to the loop.
  const ssize_t result = state_->endpoint->write(octets);
  if (result < 0 && errno != EAGAIN && errno != EINTR) {
    const LinkError lost = state_->error_of({errno, std::generic_category()});
    state_->shut();
    return tl::unexpected{lost};
  }
  if (const auto written = static_cast<std::size_t>(std::max<ssize_t>(result, 0)); written < octets.size()) {
    state_->write_rest(octets.subspan(written));
  }
  return {};
}

void StreamPort::wake_at(Instant at) {
  state_->wake = at;
  if (state_->open) {
    state_->set_alarm(at);
  }
}

Result<void> StreamPort::run_one(const CancelToken& cancel) {
  if (!cancel.cancelled()) {
    state_->watch(cancel);
    asio::io_context& context = loop_->context();
    if (context.stopped()) {
      context.restart();
    }
    // The loop trusts its timer; one that the system let down would leave it waiting for ever.
    constexpr auto kOverdue = std::chrono::milliseconds{50};
    if (!state_->wake.has_value()) {
      if (context.run_one() == 0) {
        return failure(Fault::kBrokenPrecondition, "a wait for nothing");
      }
    } else if (context.run_one_for(std::max(*state_->wake - monotonic_now(), Duration{}) + kOverdue) == 0) {
      state_->rung();
    }
  }
  if (cancel.cancelled()) {
    return tl::unexpected{cancelled_error(cancel)};
  }
  return {};
}

void StreamPort::close() {
  state_->listener = nullptr;
  state_->shut();
}

}  // namespace host::link
