#include "host/link/memory_port.hpp"

#include <algorithm>
#include <utility>

namespace host::link {

using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::Octets;

namespace {

Duration character_time(const LineSettings& line) {
  return Duration{(std::int64_t{1'000'000} * bits_per_character(line) + line.baud - 1) / line.baud};
}

// A receiver of one stop bit takes two, and the other way about: stop bits alone don't damage.
bool understand(const LineSettings& a, const LineSettings& b) {
  return a.baud == b.baud && a.parity == b.parity;
}

// Not what was sent, and the same in every run.
std::uint8_t misheard(std::uint8_t octet) {
  return static_cast<std::uint8_t>(octet ^ 0xA5U);
}

}  // namespace

MemoryPort::MemoryPort(const LineSettings& near) : near_{near}, far_{near} {}

void MemoryPort::schedule(Instant at, std::function<void(Instant)> action) {
  events_.emplace(std::max(at, now_), std::move(action));
}

void MemoryPort::arrive(std::uint8_t octet, bool damaged, Instant at) {
  schedule(at, [this, octet, damaged](Instant) {
    const Heard heard{octet, damaged || !understand(near_, far_)};
    if (resting_) {
      held_.push_back(heard);
    } else {
      hand_over(heard);
    }
  });
}

void MemoryPort::hand_over(const Heard& heard) {
  if (listener_ == nullptr || !open_) {
    return;
  }
  if (heard.damaged) {
    listener_->octet_damaged(now_);
  } else {
    listener_->octets_arrived(Octets{&heard.octet, 1}, now_);
  }
}

void MemoryPort::happen() {
  const auto event = events_.extract(events_.begin());
  now_ = std::max(now_, event.key());
  event.mapped()(now_);
}

bool MemoryPort::rest(Instant until) {
  if (until <= now_ || until >= wake_) {
    return false;
  }
  resting_ = true;
  while (open_ && !events_.empty() && events_.begin()->first <= until) {
    happen();
  }
  resting_ = false;
  if (!open_) {
    return true;
  }
  now_ = std::max(now_, until);
  const auto came = std::exchange(held_, {});
  for (const Heard& heard : came) {
    hand_over(heard);
  }
  return !came.empty();
}

void MemoryPort::deliver(Octets octets, Instant at, Duration pause) {
  deliver_marked(octets, octets.size(), at, pause);
}

void MemoryPort::deliver_damaged(Octets octets, std::size_t damaged, Instant at) {
  deliver_marked(octets, damaged, at, {});
}

void MemoryPort::deliver_marked(Octets octets, std::size_t damaged, Instant at, Duration pause) {
  far_free_ = std::max({at, now_, far_free_});
  for (std::size_t i = 0; i < octets.size(); ++i) {
    far_free_ += character_time(far_);
    arrive(octets[i], i == damaged, far_free_);
    far_free_ += pause;
  }
}

void MemoryPort::hang_up(Instant at) {
  schedule(at, [this](Instant) {
    if (!open_) {
      return;
    }
    open_ = false;
    if (listener_ != nullptr) {
      LinkError error = link_error(Fault::kGone, "memory went away (hung up)");
      error.port = name_;
      listener_->lost(error);
    }
  });
}

Result<void> MemoryPort::send(Octets octets) {
  if (!open_) {
    return failure(Fault::kGone, "memory is closed");
  }
  const bool understood = understand(near_, far_);
  std::vector<std::uint8_t> heard(octets.begin(), octets.end());
  if (!understood) {
    std::transform(heard.begin(), heard.end(), heard.begin(), misheard);
  }
  near_free_ = std::max(near_free_, now_) + character_time(near_) * static_cast<std::int64_t>(octets.size());
  schedule(near_free_, [this, heard = std::move(heard), understood](Instant now) {
    if (hearer_) {
      hearer_(heard, !understood, now);
    }
  });
  return {};
}

void MemoryPort::wake_at(Instant at) {
  wake_ = at;
}

Result<void> MemoryPort::run_one(const CancelToken& cancel) {
  if (cancel.cancelled()) {
    return tl::unexpected{cancelled_error(cancel)};
  }
  ++waits_;
  if (rest(std::exchange(rest_, Instant{}))) {
    return {};
  }
  const bool event_first = !events_.empty() && events_.begin()->first <= wake_;
  if (!event_first && wake_ == Instant::max()) {
    return failure(Fault::kBrokenPrecondition, "a wait for nothing");
  }
  if (event_first) {
    happen();
  } else {
    now_ = std::max(now_, std::exchange(wake_, Instant::max()));
    if (listener_ != nullptr && open_) {
      listener_->woken(now_);
    }
  }
  if (cancel.cancelled()) {
    return tl::unexpected{cancelled_error(cancel)};
  }
  return {};
}

void MemoryPort::close() {
  open_ = false;
  listener_ = nullptr;
}

}  // namespace host::link
