#include "sim/port/loop.hpp"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>

#include <poll.h>
#include <sys/epoll.h>
#include <sys/socket.h>
#include <unistd.h>

namespace sim::port {
namespace {

std::uint32_t events_of(Loop::Wish wish) {
  switch (wish) {
    case Loop::Wish::kNothing: return 0;
    case Loop::Wish::kRead: return EPOLLIN;
    case Loop::Wish::kWrite: return EPOLLOUT;
    case Loop::Wish::kBoth: return EPOLLIN | EPOLLOUT;
  }
  return 0;
}

}  // namespace

Loop::Loop() : epoll_{::epoll_create1(EPOLL_CLOEXEC)} {}

Loop::~Loop() {
  if (epoll_ >= 0) ::close(epoll_);
}

void Loop::watch(int fd, Wish wish, Ready ready) {
  const std::uint64_t number = next_++;
  watched_.emplace(number, Watched{fd, wish, std::move(ready)});
  numbers_[fd] = number;
  epoll_event event{};
  event.events = events_of(wish);
  event.data.u64 = number;
  ::epoll_ctl(epoll_, EPOLL_CTL_ADD, fd, &event);
}

void Loop::change(int fd, Wish wish) {
  const auto number = numbers_.find(fd);
  if (number == numbers_.end()) return;
  Watched& watched = watched_.at(number->second);
  if (watched.wish == wish) return;
  watched.wish = wish;
  epoll_event event{};
  event.events = events_of(wish);
  event.data.u64 = number->second;
  ::epoll_ctl(epoll_, EPOLL_CTL_MOD, fd, &event);
}

void Loop::forget(int fd) {
  const auto number = numbers_.find(fd);
  if (number == numbers_.end()) return;
  ::epoll_ctl(epoll_, EPOLL_CTL_DEL, fd, nullptr);
  watched_.erase(number->second);
  numbers_.erase(number);
  std::erase(resting_, fd);
  wake_resting();
}

std::optional<int> Loop::accept(int fd) {
  const int client = ::accept4(fd, nullptr, nullptr, SOCK_NONBLOCK | SOCK_CLOEXEC);
  if (client >= 0) return client;
  if (errno == EMFILE || errno == ENFILE || errno == ENOBUFS || errno == ENOMEM) {
    change(fd, Wish::kNothing);
    resting_.push_back(fd);
    rested_at_ = Clock::now() + kRest;
  }
  return std::nullopt;
}

void Loop::wake_resting() {
  for (const int fd : resting_) change(fd, Wish::kRead);
  resting_.clear();
}

tl::expected<void, std::string> Loop::wait(std::optional<protocol::base::Duration> longest) {
  const auto failed = [] {
    return tl::unexpected(std::string{"can't wait: "} +
                          std::strerror(errno));  // NOLINT(concurrency-mt-unsafe): one thread
  };
  // epoll_wait counts milliseconds; a silence is 1.75 of them.
  timespec time{};
  if (!resting_.empty()) {
    const auto rest = std::chrono::ceil<protocol::base::Duration>(rested_at_ - Clock::now());
    if (rest <= protocol::base::Duration{}) {
      wake_resting();
    } else {
      longest = std::min(rest, longest.value_or(rest));
    }
  }
  if (longest) time = {longest->count() / 1'000'000, longest->count() % 1'000'000 * 1'000};
  pollfd wish{epoll_, POLLIN, 0};
  const int ready = ::ppoll(&wish, 1, longest ? &time : nullptr, nullptr);
  ++wakes_;
  if (ready < 0 && errno != EINTR) return failed();
  if (ready <= 0) return {};
  std::array<epoll_event, 64> events{};
  const int count = ::epoll_wait(epoll_, events.data(), static_cast<int>(events.size()), 0);
  if (count < 0 && errno != EINTR) return failed();
  for (int i = 0; i < count; ++i) {
    const auto watched = watched_.find(events.at(static_cast<std::size_t>(i)).data.u64);
    if (watched == watched_.end()) continue;  // forgotten by one that was called before
    const Ready call = watched->second.ready;
    call();
  }
  return {};
}

}  // namespace sim::port
