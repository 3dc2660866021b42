#include "sim/line/bus.hpp"

#include <algorithm>

#include "protocol/session/server_machine.hpp"

namespace sim::line {
namespace {

using protocol::base::Instant;
using protocol::base::Octets;
using protocol::session::Step;

constexpr std::size_t kNone = static_cast<std::size_t>(-1);

std::optional<Instant> earlier(std::optional<Instant> one, std::optional<Instant> other) {
  if (!one || !other) return one ? one : other;
  return std::min(*one, *other);
}

}  // namespace

// A silence lies between the end of a character and the start of the next, but a server is told of ends
// alone. So where characters take time its silence is one character longer, and its clock for waiting one
// ahead.
Bus::Bus(const BusSettings& settings)
    : settings_{settings},
      character_{settings.wire.paced ? settings.wire.unit.timing().wire_time(1)
                                     : protocol::base::Duration{}} {
  lines_.push_back({Line{settings.noise, settings.seed, settings.wire}, {}});
}

std::size_t Bus::add(std::uint8_t address, Answerer answerer, std::function<bool()> answers) {
  const protocol::rtu::LineTiming timing = settings_.wire.unit.timing();
  protocol::session::ServerSettings server;
  server.unit_address = address;
  server.timing = timing;
  server.silence = timing.frame_gap() + character_;
  stations_.push_back(std::make_unique<Station>(server, std::move(answerer), std::move(answers)));
  return stations_.size() - 1;
}

std::size_t Bus::branch_for(const StationFault& fault) {
  const CharacterFormat format = fault.format.value_or(settings_.wire.unit);
  for (std::size_t i = 0; i < lines_.size(); ++i) {
    if (lines_[i].line.wire().unit == format) return i;
  }
  for (std::size_t i = 1; i < lines_.size(); ++i) {
    if (used(i)) continue;
    lines_[i].line.set_unit(format);
    return i;
  }
  Wire wire = lines_.front().line.wire();
  wire.unit = format;
  Noise noise = settings_.noise;
  noise.echo = false;  // the first line has it already
  lines_.push_back({Line{noise, settings_.seed + lines_.size(), wire}, {}});
  return lines_.size() - 1;
}

bool Bus::used(std::size_t branch) const {
  return std::any_of(stations_.begin(), stations_.end(),
                     [branch](const auto& station) { return station->line == branch; });
}

void Bus::set_fault(std::size_t station, const StationFault& fault) {
  Station& one = *stations_[station];
  if (one.fault == fault) return;
  one.fault = fault;
  one.line = kNone;  // its own line is free for it
  one.line = branch_for(fault);
  one.server.reset();
}

void Bus::set_host(const CharacterFormat& format) {
  for (Branch& branch : lines_) branch.line.set_host(format);
}

void Bus::from_host(Octets octets, Instant now) {
  for (std::size_t i = 0; i < lines_.size(); ++i) {
    if (i == 0 || used(i)) lines_[i].line.from_host(octets, now);
  }
  for (std::size_t i = 0; i < stations_.size(); ++i) {
    const Station& one = *stations_[i];
    if (one.fault.format && one.attached && !lines_[one.line].line.alike()) acts(i, Acted::kFormat);
  }
}

Instant Bus::due() const {
  Instant at = Instant::max();
  for (const Branch& branch : lines_) {
    at = std::min(at, branch.line.next_at_unit().value_or(Instant::max()));
    at = std::min(at, branch.step_at.value_or(Instant::max()));
  }
  return said_.empty() ? at : std::min(at, said_.front().at);
}

void Bus::run(Instant now) {
  for (Instant at = due(); at <= now; at = due()) {
    time_ = std::max(time_, at);
    speak();
    for (std::size_t i = 0; i < lines_.size(); ++i) {
      // A silence that ends now ends before an octet that comes now; one that an octet has broken already,
      // whose end is still to come, doesn't end.
      const auto coming = lines_[i].line.next_at_unit();
      const bool broken = coming && *coming - character_ < time_;
      if (broken) lines_[i].step_at.reset();
      if (lines_[i].step_at && *lines_[i].step_at <= time_) step(i);
      deliver(i);
    }
  }
  time_ = std::max(time_, now);
}

void Bus::deliver(std::size_t branch) {
  while (const auto arrival = lines_[branch].line.take_at_unit(time_)) {
    for (std::size_t i = 0; i < stations_.size(); ++i) {
      if (stations_[i]->line == branch && stations_[i]->attached) hear(i, arrival->octets, arrival->damaged);
    }
    lines_[branch].step_at = time_;  // a server says itself how long it waits
  }
}

void Bus::hear(std::size_t index, Octets octets, bool damaged) {
  Station& station = *stations_[index];
  if (station.fault.swapped) acts(index, Acted::kSwapped);
  if (damaged || station.fault.swapped) {
    station.server.damaged(time_);
  } else {
    station.server.received(octets, time_);
  }
}

void Bus::step(std::size_t branch) {
  std::optional<Instant> again;
  for (std::size_t i = 0; i < stations_.size(); ++i) {
    Station& station = *stations_[i];
    if (station.line != branch || !station.attached) continue;
    Step step = station.server.step(time_ + character_);
    for (; step.kind == Step::Kind::kSend; step = station.server.step(time_ + character_)) {
      if (!station.answers()) continue;
      say(i, step.octets);
    }
    if (step.kind == Step::Kind::kWait) again = earlier(again, step.until - character_);
  }
  lines_[branch].step_at = again;
  speak();
}

void Bus::say(std::size_t index, Octets answer) {
  const StationFault& fault = stations_[index]->fault;
  ++answers_;
  if (fault.mute) acts(index, Acted::kMute);
  if (fault.swapped) acts(index, Acted::kSwapped);
  if (fault.mute || fault.swapped) return;
  if (fault.intruder) acts(index, Acted::kIntruder);
  schedule({time_ + settings_.turnaround + fault.lag, index, {answer.begin(), answer.end()}});
}

void Bus::schedule(Said said) {
  const auto later = [](Instant at, const Said& other) { return at < other.at; };
  said_.insert(std::upper_bound(said_.begin(), said_.end(), said.at, later), std::move(said));
}

void Bus::speak() {
  while (!said_.empty() && said_.front().at <= time_) {
    Said said = std::move(said_.front());
    said_.erase(said_.begin());
    if (said.overheard) {
      for (std::size_t i = 0; i < stations_.size(); ++i) {
        if (i == said.station || !stations_[i]->attached) continue;
        hear(i, said.octets, stations_[i]->line != stations_[said.station]->line);
        lines_[stations_[i]->line].step_at = time_;
      }
      continue;
    }
    Line& line = lines_[stations_[said.station]->line].line;
    line.from_unit(said.octets, time_);
    if (stations_.size() == 1) continue;
    if (settings_.wire.paced) said.at += line.wire().unit.timing().wire_time(said.octets.size());
    said.overheard = true;
    schedule(std::move(said));
  }
}

std::vector<std::uint8_t> Bus::at_host(Instant now) {
  std::vector<std::uint8_t> octets;
  for (Branch& branch : lines_) {
    const auto more = branch.line.at_host(now);
    octets.insert(octets.end(), more.begin(), more.end());
  }
  return octets;
}

std::optional<Instant> Bus::next() const {
  std::optional<Instant> at;
  for (const Branch& branch : lines_) at = earlier(earlier(at, branch.line.next()), branch.step_at);
  return said_.empty() ? at : earlier(at, said_.front().at);
}

std::optional<Instant> Bus::next_at_host() const {
  std::optional<Instant> at;
  for (const Branch& branch : lines_) at = earlier(at, branch.line.next_at_host());
  return at;
}

void Bus::host_gone() {
  for (Branch& branch : lines_) {
    branch.line.clear();
    branch.step_at.reset();
  }
  said_.clear();
  for (const auto& station : stations_) station->server.reset();
}

Hits Bus::hits() const {
  Hits all;
  for (const Branch& branch : lines_) {
    const Hits& one = branch.line.hits();
    all.bits_flipped += one.bits_flipped;
    all.octets_damaged += one.octets_damaged;
    all.answers_dropped += one.answers_dropped;
    all.answers_doubled += one.answers_doubled;
    all.answers_delayed += one.answers_delayed;
    all.pieces_held += one.pieces_held;
    all.octets_echoed += one.octets_echoed;
    all.gaps_short += one.gaps_short;
    all.collisions += one.collisions;
  }
  return all;
}

}  // namespace sim::line
