#include "host/link/serial_port.hpp"

#include <array>
#include <cstdint>
#include <optional>
#include <system_error>
#include <utility>
#include <vector>

#include <asio/buffer.hpp>
#include <asio/error.hpp>
#include <asio/io_context.hpp>
#include <asio/posix/stream_descriptor.hpp>
#include <asio/steady_timer.hpp>
#include <asio/write.hpp>
#include <fmt/core.h>
#include <unistd.h>

#include "host/link/parity_marks.hpp"

namespace host::link {

using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::Octets;

EventLoop::EventLoop() : context_{std::make_unique<asio::io_context>(1)} {}
EventLoop::~EventLoop() = default;

struct SerialPort::State : std::enable_shared_from_this<SerialPort::State> {
  State(asio::io_context& context, SerialHandle serial)
      : handle{std::move(serial)}, stream{context}, timer{context}, cancel_stream{context} {}

  SerialHandle handle;
  asio::posix::stream_descriptor stream;
  asio::steady_timer timer;
  asio::posix::stream_descriptor cancel_stream;
  int cancel_fd = -1;  // the token's own number, to see when another token comes
  PortListener* listener = nullptr;
  ParityMarks marks;
  std::array<std::uint8_t, 1024> incoming{};
  std::vector<std::uint8_t> outgoing;
  bool sending = false;
  bool open = true;
  std::optional<Instant> wake;   // when the listener wants to be woken
  std::optional<Instant> armed;  // when the timer will look

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
    hand_over(marks.decode(Octets{incoming.data(), count}), monotonic_now());
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
    // A terminal that reads nothing though a read waits for one octet is hung up.
    const bool gone = error == asio::error::eof || means_gone(error.value());
    LinkError made =
        gone ? link_error(Fault::gone, fmt::format("{} went away ({})", handle.path(), error.message()),
                          "look at plug and cable, then start again")
             : link_error(Fault::port_failed, fmt::format("{} failed: {}", handle.path(), error.message()),
                          "look at the system's log for this port");
    made.port = handle.path();
    return made;
  }

  void lose(const std::error_code& error) {
    const LinkError made = error_of(error);
    shut();
    if (listener != nullptr) {
      listener->lost(made);
    }
  }

  void arm(Instant at) {
    armed = at;
    timer.expires_at(std::chrono::steady_clock::time_point{
        std::chrono::duration_cast<std::chrono::steady_clock::duration>(at.time_since_epoch())});
    timer.async_wait([self = shared_from_this()](const asio::error_code& error) {
      if (self->open && error != asio::error::operation_aborted) {
        self->timer_ended();
      }
    });
  }

  void timer_ended() {
    armed.reset();
    if (!wake.has_value()) {
      return;
    }
    const Instant now = monotonic_now();
    if (*wake > now) {
      arm(*wake);
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

  void shut() {
    if (!open) {
      return;
    }
    open = false;
    asio::error_code ignored;
    timer.cancel();
    cancel_stream.close(ignored);
    // The loop lets go of the number first; the handle restores the settings and closes it.
    (void)stream.release();
    handle.close();
  }
};

SerialPort::SerialPort(std::shared_ptr<EventLoop> loop, std::shared_ptr<State> state)
    : loop_{std::move(loop)}, state_{std::move(state)} {}

Result<std::unique_ptr<SerialPort>> SerialPort::over(std::shared_ptr<EventLoop> loop, SerialHandle handle) {
  const std::string path = handle.path();
  std::string why;
  try {
    auto state = std::make_shared<State>(loop->context(), std::move(handle));
    state->stream.assign(state->handle.fd());
    state->start_read();
    return std::unique_ptr<SerialPort>{new SerialPort{std::move(loop), std::move(state)}};
  } catch (const std::system_error& error) {
    why = error.what();
  }
  LinkError error = link_error(Fault::port_failed, fmt::format("can't wait for {}: {}", path, why),
                               "raise the limit of open files, or end what holds them");
  error.port = path;
  return tl::unexpected{std::move(error)};
}

SerialPort::~SerialPort() {
  close();
}

const std::string& SerialPort::name() const {
  return state_->handle.path();
}

Instant SerialPort::now() const {
  return monotonic_now();
}

void SerialPort::set_listener(PortListener* listener) {
  state_->listener = listener;
}

Result<void> SerialPort::send(Octets octets) {
  if (!state_->open) {
    return failure(Fault::gone, fmt::format("{} is closed", name()));
  }
  if (state_->sending) {
    return failure(Fault::port_failed,
                   fmt::format("{} takes no octets: the last frame is still queued", name()),
                   "look whether the adapter holds its output back (flow control)");
  }
  state_->outgoing.assign(octets.begin(), octets.end());
  state_->sending = true;
  asio::async_write(state_->stream, asio::buffer(state_->outgoing),
                    [state = state_](const asio::error_code& error, std::size_t) {
                      state->sending = false;
                      if (error && state->open && error != asio::error::operation_aborted) {
                        state->lose(error);
                      }
                    });
  return {};
}

void SerialPort::wake_at(Instant at) {
  state_->wake = at;
  if (state_->open && (!state_->armed.has_value() || at < *state_->armed)) {
    state_->arm(at);
  }
}

Result<void> SerialPort::run_one(const CancelToken& cancel) {
  if (!cancel.cancelled()) {
    state_->watch(cancel);
    asio::io_context& context = loop_->context();
    if (context.stopped()) {
      context.restart();
    }
    if (context.run_one() == 0) {
      return failure(Fault::broken_precondition, "a wait for nothing");
    }
  }
  if (cancel.cancelled()) {
    return tl::unexpected{cancelled_error(cancel)};
  }
  return {};
}

void SerialPort::close() {
  state_->listener = nullptr;
  state_->shut();
}

}  // namespace host::link
