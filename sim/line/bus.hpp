#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <utility>
#include <vector>

#include "protocol/session/device.hpp"
#include "protocol/session/server.hpp"
#include "sim/line/answerer.hpp"
#include "sim/line/line.hpp"

namespace sim::line {

/// What holds for every unit of a bus.
struct BusSettings {
  Wire wire;
  Noise noise;
  std::uint64_t seed = 1;
  protocol::base::Duration turnaround{};  // of a unit, beyond the silence that precedes an answer
};

/// What is wrong with one unit's end of the line.
struct StationFault {
  bool mute = false;                      // its transmitter is dead
  bool swapped = false;                   // its two wires are exchanged: it hears nothing but damage
  std::optional<CharacterFormat> format;  // its port is set otherwise
  protocol::base::Duration lag{};         // it answers this much later than others
  bool intruder = false;                  // its address is another unit's: all it says is too much
  friend bool operator==(const StationFault&, const StationFault&) = default;
};

/// The ways in which a fault of a station acts.
enum class Acted { kMute, kSwapped, kFormat, kIntruder };

/// One bus: a line and any number of units that answer on it, in virtual time. Units hear each other; units
/// of the same address answer at once and collide.
///
/// Use  from_host() with what the host sent, run(now), then write at_host(now); again at next(). Everything
///      happens at the instant it is due, however late run() is called.
class Bus {
 public:
  explicit Bus(const BusSettings& settings);

  /// Puts a unit on the bus. While `answerer` is called, time() is the instant it is called at. `answers` is
  /// asked before an answer leaves the unit: one whose processor has stopped keeps it. Precondition: address
  /// is 1..247. Returns  the number of its station.
  std::size_t add(
      std::uint8_t address, Answerer answerer, std::function<bool()> answers = [] { return true; });
  /// The same of a unit that is a Device, which outlives the bus.
  std::size_t add(
      std::uint8_t address, protocol::session::Device& device,
      std::function<bool()> answers = [] { return true; }) {
    return add(address, answerer_of(device), std::move(answers));
  }

  /// Makes a unit's end of the line as bad as said; {} mends it.
  void set_fault(std::size_t station, const StationFault& fault);

  /// Takes a unit off the bus, or puts it back.
  void attach(std::size_t station, bool attached) { stations_[station]->attached = attached; }

  /// Called with a station whose fault has just made a difference: what comes it can't hear, or an answer
  /// doesn't leave it or is too much.
  void when_fault_acts(std::function<void(std::size_t station, Acted how)> call) { acts_ = std::move(call); }

  /// The host's end was set anew.
  void set_host(const CharacterFormat& format);

  void from_host(protocol::base::Octets octets, protocol::base::Instant now);
  /// Lets everything happen that is due by `now`, in order of time.
  void run(protocol::base::Instant now);
  /// What the host's port hands on by `now`.
  [[nodiscard]] std::vector<std::uint8_t> at_host(protocol::base::Instant now);

  /// When to run() again; nothing: not before the host sends.
  [[nodiscard]] std::optional<protocol::base::Instant> next() const;
  /// When the host's port has its next piece to hand on.
  [[nodiscard]] std::optional<protocol::base::Instant> next_at_host() const;
  [[nodiscard]] std::size_t backlog() const { return lines_.front().line.backlog(); }

  /// The host has closed its port: what is under way is forgotten.
  void host_gone();

  [[nodiscard]] protocol::base::Instant time() const { return time_; }
  [[nodiscard]] std::size_t size() const { return stations_.size(); }
  /// Lines in use or free: one for each setting that units had at the same time.
  [[nodiscard]] std::size_t lines() const { return lines_.size(); }
  [[nodiscard]] const Wire& wire() const { return settings_.wire; }
  [[nodiscard]] Hits hits() const;
  /// Answers that units gave, exceptions included, whether or not the line let them through.
  [[nodiscard]] std::uint64_t answers() const { return answers_; }

 private:
  struct Station {
    Station(const protocol::session::ServerSettings& settings, Answerer answerer_now,
            std::function<bool()> answers_now)
        : answerer{std::move(answerer_now)}, server{settings, answerer}, answers{std::move(answers_now)} {}

    Answerer answerer;
    protocol::session::BasicServer<Answerer> server;
    std::function<bool()> answers;
    StationFault fault;
    std::size_t line = 0;
    bool attached = true;
  };
  // Units whose ports are set alike share a line; one that is set otherwise has a line of its own to the
  // host.
  struct Branch {
    Line line;
    std::optional<protocol::base::Instant> step_at;
  };
  struct Said {
    protocol::base::Instant at;
    std::size_t station;
    std::vector<std::uint8_t> octets;
    bool overheard = false;  // by the others, at its end; else it begins
  };

  [[nodiscard]] protocol::base::Instant due() const;
  [[nodiscard]] std::size_t branch_for(const StationFault& fault);
  [[nodiscard]] bool used(std::size_t branch) const;
  void deliver(std::size_t branch);
  void step(std::size_t branch);
  void speak();
  void hear(std::size_t index, protocol::base::Octets octets, bool damaged);
  void say(std::size_t index, protocol::base::Octets answer);
  void acts(std::size_t station, Acted how) const {
    if (acts_) acts_(station, how);
  }
  void schedule(Said said);

  BusSettings settings_;
  protocol::base::Duration character_;
  std::vector<std::unique_ptr<Station>> stations_;  // a server is known by its place
  std::vector<Branch> lines_;
  std::vector<Said> said_;  // in order of time
  std::function<void(std::size_t, Acted)> acts_;
  protocol::base::Instant time_{};
  std::uint64_t answers_ = 0;
};

}  // namespace sim::line
