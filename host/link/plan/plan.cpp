#include "host/link/plan/plan.hpp"

#include <algorithm>
#include <array>
#include <limits>
#include <optional>

namespace host::link::plan {

namespace {

// A neighbour can rule out one number, the other neighbour a second: two registers more always suffice.
constexpr std::uint16_t kPaddingMax = 2;
// Equal neighbours cost a read of one or two registers between them.
constexpr std::size_t kSpacerCount = 2;

/// A way to have read everything from some register on.
struct Way {
  double cost = std::numeric_limits<double>::infinity();
  Span first;
  std::size_t next = 0;          // the first wanted register that `first` doesn't bring
  std::uint16_t next_count = 0;  // registers of the read that follows; 0: none
};

/// The cheapest way, and the cheapest that begins with another number of registers: one of them suits any
/// neighbour.
using Ways = std::array<Way, 2>;

void offer(Ways& ways, const Way& way) {
  if (way.cost < ways[0].cost) {
    if (way.first.count != ways[0].first.count) {
      ways[1] = ways[0];
    }
    ways[0] = way;
  } else if (way.first.count != ways[0].first.count && way.cost < ways[1].cost) {
    ways[1] = way;
  }
}

/// The cheapest continuation behind a read of `count` registers; equal neighbours only where nothing else is.
std::optional<Way> after(const Ways& ways, std::uint16_t count, const ReadCosts& costs) {
  std::optional<Way> best;
  for (Way way : ways) {
    if (way.first.count == 0) {
      continue;
    }
    if (way.first.count == count) {
      way.cost += costs[kSpacerCount];
    }
    if (!best || way.cost < best->cost) {
      best = way;
    }
  }
  return best;
}

std::vector<std::uint16_t> wanted_registers(const Wish& wish) {
  std::vector<std::uint16_t> registers;
  for (const Span& span : wish.wanted) {
    for (std::uint32_t at = span.address; at < span.end(); ++at) {
      const bool readable = std::any_of(wish.readable.begin(), wish.readable.end(), [&](const Span& range) {
        return at >= range.address && at < range.end();
      });
      if (readable && at <= 0xFFFF) {
        registers.push_back(static_cast<std::uint16_t>(at));
      }
    }
  }
  std::sort(registers.begin(), registers.end());
  registers.erase(std::unique(registers.begin(), registers.end()), registers.end());
  return registers;
}

/// All reads that bring registers[from] first, by how far they reach and how they are padded.
class Reads {
 public:
  Reads(const Wish& wish, const std::vector<std::uint16_t>& registers)
      : wish_{wish},
        registers_{registers},
        count_max_{std::clamp<std::uint16_t>(wish.count_max, 1, protocol::pdu::kReadRegistersMax)} {}

  template <typename Take>
  void each(std::size_t from, Take take) const {
    const std::uint32_t begin = registers_[from];
    for (const Span& range : wish_.readable) {
      if (begin < range.address || begin >= range.end()) {
        continue;
      }
      for (std::size_t last = from; last < registers_.size() && registers_[last] < range.end(); ++last) {
        const std::uint32_t bare = registers_[last] - begin + 1U;
        if (bare > count_max_) {
          break;
        }
        for (std::uint32_t padding = 0; padding <= kPaddingMax && bare + padding <= count_max_; ++padding) {
          // Behind the block first, then ahead of it; only the number counts.
          const std::uint32_t behind = std::min(padding, range.end() - registers_[last] - 1U);
          const std::uint32_t ahead = padding - behind;
          if (ahead > begin - range.address) {
            break;
          }
          const Span span{static_cast<std::uint16_t>(begin - ahead),
                          static_cast<std::uint16_t>(bare + padding)};
          std::size_t next = last + 1;
          while (next < registers_.size() && registers_[next] < span.end()) {
            ++next;
          }
          take(span, next);
        }
      }
    }
  }

 private:
  const Wish& wish_;
  const std::vector<std::uint16_t>& registers_;
  std::uint16_t count_max_;
};

}  // namespace

std::vector<Span> plan_reads(const Wish& wish, const ReadCosts& costs) {
  const std::vector<std::uint16_t> registers = wanted_registers(wish);
  // From the end to the beginning: ways[i] brings registers[i] and all above it.
  std::vector<Ways> ways(registers.size() + 1);
  const Reads reads{wish, registers};
  for (std::size_t from = registers.size(); from-- > 0;) {
    reads.each(from, [&](const Span& span, std::size_t next) {
      Way way{costs[span.count], span, next, 0};
      if (next < registers.size()) {
        const auto rest = after(ways[next], span.count, costs);
        if (!rest) {
          return;
        }
        way.cost += rest->cost;
        way.next_count = rest->first.count;
      }
      offer(ways[from], way);
    });
  }
  std::vector<Span> plan;
  std::size_t at = 0;
  std::uint16_t count = registers.empty() ? std::uint16_t{0} : [&] {
    const auto first = after(ways[0], wish.count_before, costs);
    return first ? first->first.count : std::uint16_t{0};
  }();
  while (at < registers.size() && count != 0) {
    const Ways& here = ways[at];
    const Way& way = here[0].first.count == count ? here[0] : here[1];
    plan.push_back(way.first);
    at = way.next;
    count = way.next_count;
  }
  return plan;
}

double expected_time(const std::vector<Span>& reads, const ReadCosts& costs) {
  double time = 0;
  for (const Span& read : reads) {
    time += costs[std::min<std::size_t>(read.count, costs.size() - 1)];
  }
  return time;
}

}  // namespace host::link::plan
