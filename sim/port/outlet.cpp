#include "sim/port/outlet.hpp"

#include <algorithm>

namespace sim::port {

void add(OutletCounts& all, const OutletCounts& one) {
  all.hits.bits_flipped += one.hits.bits_flipped;
  all.hits.octets_damaged += one.hits.octets_damaged;
  all.hits.answers_dropped += one.hits.answers_dropped;
  all.hits.answers_doubled += one.hits.answers_doubled;
  all.hits.answers_delayed += one.hits.answers_delayed;
  all.hits.pieces_held += one.hits.pieces_held;
  all.hits.octets_echoed += one.hits.octets_echoed;
  all.hits.gaps_short += one.hits.gaps_short;
  all.hits.collisions += one.hits.collisions;
  all.answers += one.answers;
  all.pieces += one.pieces;
  all.late_max = std::max(all.late_max, one.late_max);
  all.late_sum += one.late_sum;
  all.clients_refused += one.clients_refused;
  all.clients_idle += one.clients_idle;
  all.clients_dropped += one.clients_dropped;
}

OutletCounts counts_of(const line::Bus& bus) {
  OutletCounts counts;
  counts.hits = bus.hits();
  counts.answers = bus.answers();
  return counts;
}

std::vector<std::uint8_t> take_for_host(line::Bus& bus, protocol::base::Instant now, OutletCounts& counts) {
  std::vector<std::uint8_t> octets;
  for (auto due = bus.next_at_host(); due && *due <= now; due = bus.next_at_host()) {
    const auto piece = bus.at_host(*due);
    if (piece.empty()) break;
    octets.insert(octets.end(), piece.begin(), piece.end());
    ++counts.pieces;
    counts.late_max = std::max(counts.late_max, now - *due);
    counts.late_sum += now - *due;
  }
  return octets;
}

}  // namespace sim::port
