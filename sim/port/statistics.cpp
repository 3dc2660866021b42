#include "sim/port/statistics.hpp"

#include <array>
#include <cstdio>
#include <utility>

namespace sim::port {

std::string statistics_text(const std::vector<std::unique_ptr<Outlet>>& outlets, bool paced) {
  OutletCounts all;
  for (const auto& outlet : outlets) add(all, outlet->counts());
  const line::Hits& hits = all.hits;
  const std::array<std::pair<const char*, std::uint64_t>, 12> counts{
      {{"bits flipped", hits.bits_flipped},
       {"octets damaged", hits.octets_damaged},
       {"answers dropped", hits.answers_dropped},
       {"answers doubled", hits.answers_doubled},
       {"answers delayed", hits.answers_delayed},
       {"pieces held by the adapter", hits.pieces_held},
       {"octets echoed", hits.octets_echoed},
       {"requests joined to what went before", hits.gaps_short},
       {"collisions", hits.collisions},
       {"clients turned away", all.clients_refused},
       {"idle clients that gave way", all.clients_idle},
       {"clients dropped that took no answer", all.clients_dropped}}};
  std::string text;
  for (const auto& [what, count] : counts) {
    if (count == 0) continue;
    text += (text.empty() ? "line: " : ", ") + std::to_string(count) + " " + what;
  }
  if (!text.empty()) text += " in " + std::to_string(all.answers) + " answers\n";
  if (paced && all.pieces > 0) {
    std::array<char, 128> late{};
    const auto mean = static_cast<double>(all.late_sum.count()) / static_cast<double>(all.pieces);
    std::snprintf(
        late.data(), late.size(), "pace: %llu pieces handed on, late by %.0f us on average, %lld at most\n",
        static_cast<unsigned long long>(all.pieces), mean, static_cast<long long>(all.late_max.count()));
    text += late.data();
  }
  return text;
}

}  // namespace sim::port
