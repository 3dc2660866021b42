#include "host/link/plan/plan.hpp"

#include <algorithm>
#include <array>
#include <limits>
#include <optional>

namespace host::link::plan {

namespace {

// A neighbour can rule out one number, the other neighbour a second: two registers more suffice, or four
// where one that begins in a value of two would bring its tail alone.
constexpr std::uint16_t kPaddingMax = 4;
// What the session reads between equal neighbours.
constexpr std::size_t spacer_count(std::uint16_t count) {
  return count == 1 ? 2 : 1;
}

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
      way.cost += costs[spacer_count(count)];
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

bool in_one_range(const Wish& wish, std::uint32_t first, std::uint32_t last) {
  return std::any_of(wish.readable.begin(), wish.readable.end(),
                     [&](const Span& range) { return first >= range.address && last < range.end(); });
}

/// Which registers come in the same read as the one before: those of one value, and of values that overlap.
std::vector<bool> tied_registers(const Wish& wish, const std::vector<std::uint16_t>& registers,
                                 std::uint16_t count_max) {
  std::vector<bool> tied(registers.size() + 1);
  for (const Span& value : wish.whole) {
    const auto first = std::lower_bound(registers.begin(), registers.end(), value.address);
    for (auto next = first; next != registers.end() && *next < value.end(); ++next) {
      if (next != first) tied[static_cast<std::size_t>(next - registers.begin())] = true;
    }
  }
  for (std::size_t from = 0; from < registers.size();) {
    std::size_t end = from + 1;
    while (tied[end]) ++end;
    const std::uint32_t count = registers[end - 1] - registers[from] + 1U;
    if (count > count_max || !in_one_range(wish, registers[from], registers[end - 1])) {
      for (std::size_t i = from; i < end; ++i) tied[i] = false;
    }
    from = end;
  }
  return tied;
}

/// All reads that bring registers[from] first, by how far they reach and how they are padded.
class Reads {
 public:
  Reads(const Wish& wish, const std::vector<std::uint16_t>& registers)
      : wish_{wish},
        registers_{registers},
        count_max_{std::clamp<std::uint16_t>(wish.count_max, 1, protocol::pdu::kReadRegistersMax)},
        tied_{tied_registers(wish, registers, count_max_)} {}

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
        if (tied_[last + 1]) {
          continue;
        }
        for (std::uint32_t padding = 0; padding <= kPaddingMax && bare + padding <= count_max_; ++padding) {
          // Behind the block first, then ahead of it; only the number counts.
          const std::uint32_t behind = std::min(padding, range.end() - registers_[last] - 1U);
          const std::uint32_t ahead = padding - behind;
          if (ahead == 0 && ends_at_a_cut(last, behind)) continue;  // a longer read of its own
          if (ahead > begin - range.address) {
            break;
          }
          if (ahead > 0 && tied_[first_from(begin - ahead)]) {
            continue;
          }
          const Span span{static_cast<std::uint16_t>(begin - ahead),
                          static_cast<std::uint16_t>(bare + padding)};
          std::size_t next = last + 1;
          while (next < registers_.size() && registers_[next] < span.end()) {
            ++next;
          }
          while (tied_[next]) {
            --next;  // a value of which only the head came is read once more, whole
          }
          take(span, next);
        }
      }
    }
  }

 private:
  // Whether `padding` registers behind `last` are wanted all, and may end a read.
  [[nodiscard]] bool ends_at_a_cut(std::size_t last, std::uint32_t padding) const {
    const std::size_t end = last + padding;
    return padding > 0 && end < registers_.size() &&
           std::uint32_t{registers_[end]} - registers_[last] == padding && !tied_[end + 1];
  }

  [[nodiscard]] std::size_t first_from(std::uint32_t address) const {
    return static_cast<std::size_t>(std::lower_bound(registers_.begin(), registers_.end(), address) -
                                    registers_.begin());
  }

  const Wish& wish_;
  const std::vector<std::uint16_t>& registers_;
  std::uint16_t count_max_;
  std::vector<bool> tied_;
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
        // Dearer than two ways of unlike counts already, whatever follows.
        if (way.cost + ways[next][0].cost >= ways[from][1].cost) return;
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
