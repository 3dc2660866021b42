#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <map>
#include <string>
#include <vector>

#include "host/link/line_settings.hpp"
#include "host/link/port.hpp"

namespace host::link {

/// A UART and its line in memory, under virtual time: the other end of a Port for tests.
///
/// Every character takes its time on the wire by the settings of whoever sends it. An end that is set
/// otherwise hears damaged characters, as a real one would: another speed or parity damages each of them.
/// Time passes only in run_one(), which jumps to the next event; nothing here reads a clock.
class MemoryPort final : public Port {
 public:
  /// What the far end hears: whole sends, when their last stop bit has passed. `damaged` if its settings are
  /// not the sender's; the octets are then what it made of them, which is not what was sent.
  using Hearer =
      std::function<void(protocol::base::Octets octets, bool damaged, protocol::base::Instant now)>;

  explicit MemoryPort(const LineSettings& near);

  /// Sets the near end's line, as a port that is opened anew has it.
  void set_near(const LineSettings& near) { near_ = near; }

  /// Sets the far end's line; the same as the near end's until then.
  void set_far(const LineSettings& far) { far_ = far; }
  void set_hearer(Hearer hearer) { hearer_ = std::move(hearer); }
  [[nodiscard]] const LineSettings& near() const { return near_; }

  /// The far end begins to send `octets` at `at`, or when what it was given before has left: a line is first
  /// in, first out. Characters arrive one by one, `pause` apart beyond their own time.
  void deliver(protocol::base::Octets octets, protocol::base::Instant at,
               protocol::base::Duration pause = {});

  /// As deliver(), but the character at `damaged` arrives with a parity error.
  void deliver_damaged(protocol::base::Octets octets, std::size_t damaged, protocol::base::Instant at);

  /// The port goes away at `at`.
  void hang_up(protocol::base::Instant at);

  /// Calls `action` at `at`: the far end's own sense of time.
  void schedule(protocol::base::Instant at, std::function<void(protocol::base::Instant now)> action);

  [[nodiscard]] const std::string& name() const override { return name_; }
  [[nodiscard]] protocol::base::Instant now() const override { return now_; }
  void set_listener(PortListener* listener) override { listener_ = listener; }
  [[nodiscard]] Result<void> send(protocol::base::Octets octets) override;
  void wake_at(protocol::base::Instant at) override;
  void rest_until(protocol::base::Instant at) override { rest_ = at; }
  [[nodiscard]] Result<void> run_one(const CancelToken& cancel) override;
  void close() override;

  /// How often run_one() was called: how often a program had to wake.
  [[nodiscard]] std::uint64_t waits() const { return waits_; }

 private:
  struct Heard {
    std::uint8_t octet = 0;
    bool damaged = false;
  };

  void hand_over(const Heard& heard);
  void happen();
  /// True when something came of it.
  [[nodiscard]] bool rest(protocol::base::Instant until);
  void deliver_marked(protocol::base::Octets octets, std::size_t damaged, protocol::base::Instant at,
                      protocol::base::Duration pause);
  void arrive(std::uint8_t octet, bool damaged, protocol::base::Instant at);

  std::string name_ = "memory";
  LineSettings near_;
  LineSettings far_;
  Hearer hearer_;
  PortListener* listener_ = nullptr;
  bool open_ = true;
  protocol::base::Instant now_{};
  protocol::base::Instant near_free_{};  // when the last send of the near end has left
  protocol::base::Instant far_free_{};   // likewise, of the far end
  protocol::base::Instant wake_ = protocol::base::Instant::max();
  protocol::base::Instant rest_{};
  bool resting_ = false;
  std::vector<Heard> held_;  // what came while resting
  std::uint64_t waits_ = 0;
  std::multimap<protocol::base::Instant, std::function<void(protocol::base::Instant)>> events_;
};

}  // namespace host::link
