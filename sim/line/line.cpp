#include "sim/line/line.hpp"

#include <algorithm>

#include "sim/line/uart.hpp"

namespace sim::line {
namespace {

using protocol::base::Duration;
using protocol::base::Instant;
using protocol::base::Octets;

// A serial port interrupts for this many octets, or at the end; a USB adapter sends this many at once.
constexpr std::size_t kPortPiece = 8;
constexpr std::size_t kAdapterPiece = 62;

}  // namespace

Duration Line::octets_time(const CharacterFormat& format, std::size_t octets) const {
  return wire_.paced ? format.timing().wire_time(octets) : Duration{};
}

Instant Line::end_of(const Transmission& one) const {
  return one.start + octets_time(wire_.unit, one.octets.size());
}

// `extra_bits` are those a receiver looks at beside the octet's own: parity, and nothing else that counts.
std::uint8_t Line::disturbed(std::uint8_t octet, unsigned extra_bits, unsigned& flips) {
  flips = 0;
  if (noise_.bit_errors <= 0) return octet;
  for (unsigned bit = 0; bit < 8 + extra_bits; ++bit) {
    if (!random_.chance(noise_.bit_errors)) continue;
    if (bit < 8) octet = static_cast<std::uint8_t>(octet ^ (1U << bit));
    ++flips;
  }
  hits_.bits_flipped += flips;
  return octet;
}

void Line::to_unit(Arrival arrival) {
  backlog_ += arrival.octets.size();
  if (arrival.damaged) ++hits_.octets_damaged;
  if (!to_unit_.empty() && to_unit_.back().at == arrival.at && !arrival.damaged && !to_unit_.back().damaged) {
    auto& octets = to_unit_.back().octets;
    octets.insert(octets.end(), arrival.octets.begin(), arrival.octets.end());
    return;
  }
  to_unit_.push_back(std::move(arrival));
}

void Line::from_host(Octets octets, Instant now) {
  if (octets.empty()) return;
  const Instant start = wire_.paced ? std::max(now, host_free_) : now;
  const bool inside = wire_.paced && quiet_ && start - *quiet_ < wire_.unit.timing().frame_gap();
  if (inside && start > *quiet_) ++hits_.gaps_short;
  // A unit doesn't hear its own answer, so what goes on with one has to be kept from it here.
  joined_to_answer_ = inside && (joined_to_answer_ || (answered_ && start >= *quiet_));
  answered_ = false;
  host_free_ = start + octets_time(wire_.host, octets.size());
  quiet_ = host_free_;
  if (noise_.echo) {
    to_host({start, {octets.begin(), octets.end()}});
    hits_.octets_echoed += octets.size();
  }
  if (joined_to_answer_) return;
  // A parity bit that the line turned over is the unit's to see: a pseudo-terminal carries none.
  const unsigned parity_bits = wire_.unit.parity == Parity::kNone ? 0 : 1;
  if (alike()) {
    for (std::size_t i = 0; i < octets.size(); ++i) {
      unsigned flips = 0;
      const std::uint8_t octet = disturbed(octets[i], parity_bits, flips);
      const bool damaged = parity_bits != 0 && flips % 2 != 0;
      to_unit({start + octets_time(wire_.host, i + 1), {octet}, damaged});
    }
    return;
  }
  for (const Heard& heard : as_heard(octets, wire_.host, wire_.unit)) {
    unsigned flips = 0;
    const std::uint8_t octet = disturbed(heard.octet, parity_bits, flips);
    const Duration after = wire_.paced ? Duration{static_cast<std::int64_t>(heard.end_us)} : Duration{};
    to_unit({start + after, {octet}, heard.damaged || (parity_bits != 0 && flips % 2 != 0)});
  }
}

void Line::from_unit(Octets answer, Instant now) {
  if (answer.empty()) return;
  if (noise_.drop > 0 && random_.chance(noise_.drop)) {
    ++hits_.answers_dropped;
    return;
  }
  if (noise_.delay > Duration{}) ++hits_.answers_delayed;
  const Instant start = now + noise_.delay;
  if (collide(answer, start)) return;
  Transmission one{start, {}, true};
  unsigned flips = 0;
  if (alike()) {
    for (const std::uint8_t octet : answer) one.octets.push_back(disturbed(octet, 0, flips));
  } else {
    for (const Heard& heard : as_heard(answer, wire_.unit, wire_.host)) {
      one.octets.push_back(disturbed(heard.octet, 0, flips));
    }
  }
  const Instant end = end_of(one);
  answered_ = true;
  Transmission twin{end, one.octets, true};
  to_host(std::move(one));
  quiet_ = end;
  if (noise_.doubled > 0 && random_.chance(noise_.doubled)) {
    for (std::uint8_t& octet : twin.octets) octet = disturbed(octet, 0, flips);
    quiet_ = end_of(twin);
    to_host(std::move(twin));
    ++hits_.answers_doubled;
  }
}

bool Line::collide(Octets answer, Instant now) {
  for (Transmission& one : to_host_) {
    if (!one.answer || one.handed_on == one.octets.size()) continue;
    const bool together = wire_.paced ? now >= one.start && now < end_of(one) : now == one.start;
    if (!together) continue;
    ++hits_.collisions;
    const auto character = octets_time(wire_.unit, 1).count();
    const auto before = character > 0 ? static_cast<std::size_t>((now - one.start).count() / character) : 0;
    for (std::size_t i = 0; i < answer.size(); ++i) {
      const std::size_t at = before + i;
      if (at < one.octets.size()) {
        one.octets[at] = static_cast<std::uint8_t>(one.octets[at] & answer[i]);
      } else {
        one.octets.push_back(answer[i]);
      }
    }
    quiet_ = end_of(one);
    return true;
  }
  return false;
}

void Line::to_host(Transmission one) {
  const auto later = [](Instant start, const Transmission& other) { return start < other.start; };
  to_host_.insert(std::upper_bound(to_host_.begin(), to_host_.end(), one.start, later), std::move(one));
}

std::pair<Instant, std::size_t> Line::piece(const Transmission& one) const {
  const auto there_at = [&](std::size_t octets) { return one.start + octets_time(wire_.unit, octets); };
  const std::size_t all = one.octets.size();
  const std::size_t first = one.handed_on + 1;
  if (noise_.latency <= Duration{}) {
    const std::size_t count = wire_.paced ? std::min(one.handed_on + kPortPiece, all) : all;
    return {there_at(count), count};
  }
  const std::size_t full = std::min(one.handed_on + kAdapterPiece, all);
  const Instant timer = there_at(first) + noise_.latency;
  if (full == one.handed_on + kAdapterPiece && there_at(full) <= timer) return {there_at(full), full};
  std::size_t count = first;
  while (count < all && there_at(count + 1) <= timer) ++count;
  return {timer, count};
}

std::vector<std::uint8_t> Line::at_unit(Instant now) {
  std::vector<std::uint8_t> octets;
  while (const auto arrival = take_at_unit(now)) {
    octets.insert(octets.end(), arrival->octets.begin(), arrival->octets.end());
  }
  return octets;
}

std::optional<Arrival> Line::take_at_unit(Instant now) {
  if (to_unit_.empty() || to_unit_.front().at > now) return std::nullopt;
  Arrival arrival = std::move(to_unit_.front());
  to_unit_.pop_front();
  backlog_ -= arrival.octets.size();
  return arrival;
}

std::vector<std::uint8_t> Line::at_host(Instant now) {
  std::vector<std::uint8_t> octets;
  while (!to_host_.empty()) {
    Transmission& one = to_host_.front();
    const auto [due, count] = piece(one);
    if (due > now) break;
    const auto begin = one.octets.begin();
    octets.insert(octets.end(), begin + static_cast<std::ptrdiff_t>(one.handed_on),
                  begin + static_cast<std::ptrdiff_t>(count));
    one.handed_on = count;
    if (noise_.latency > Duration{}) ++hits_.pieces_held;
    if (one.handed_on == one.octets.size()) to_host_.pop_front();
  }
  return octets;
}

std::optional<Instant> Line::next_at_unit() const {
  return to_unit_.empty() ? std::nullopt : std::optional{to_unit_.front().at};
}

std::optional<Instant> Line::next_at_host() const {
  return to_host_.empty() ? std::nullopt : std::optional{piece(to_host_.front()).first};
}

std::optional<Instant> Line::next() const {
  const auto host = next_at_host();
  if (to_unit_.empty()) return host;
  const Instant unit = to_unit_.back().at;
  return host ? std::min(*host, unit) : unit;
}

void Line::clear() {
  to_unit_.clear();
  to_host_.clear();
  backlog_ = 0;
  host_free_ = {};
  quiet_.reset();
  answered_ = joined_to_answer_ = false;
}

}  // namespace sim::line
