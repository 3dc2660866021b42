#include "host/link/plan/plan.hpp"

#include <algorithm>
#include <limits>
#include <map>
#include <random>
#include <set>

#include <doctest/doctest.h>

using namespace host::link::plan;
using protocol::base::microseconds;
using protocol::base::milliseconds;

namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();

std::set<std::uint32_t> registers_of(const std::vector<Span>& spans) {
  std::set<std::uint32_t> registers;
  for (const Span& span : spans) {
    for (std::uint32_t at = span.address; at < span.end(); ++at) registers.insert(at);
  }
  return registers;
}

bool inside_one(const Span& read, const std::vector<Span>& readable) {
  return std::any_of(readable.begin(), readable.end(), [&](const Span& range) {
    return read.address >= range.address && read.end() <= range.end();
  });
}

// Every read there is, at every place, of every length, in ascending order: no thought of what might be good.
class EveryWay {
 public:
  EveryWay(const Wish& wish, const ReadCosts& costs) : wish_{wish}, costs_{costs} {}

  double cheapest(const std::set<std::uint32_t>& missing, std::uint32_t before) {
    if (missing.empty()) return 0;
    const std::uint32_t first = *missing.begin();
    const auto known = known_.find({first, before});
    if (known != known_.end()) return known->second;
    double best = kNever;
    for (const Span& range : wish_.readable) {
      for (std::uint32_t begin = range.address; begin <= first; ++begin) {
        if (is_inside_value(begin)) continue;
        for (std::uint32_t end = first + 1; end <= range.end() && end - begin <= wish_.count_max; ++end) {
          const std::uint32_t count = end - begin;
          const double spacer = count == before ? costs_[count == 1 ? 2 : 1] : 0;
          const std::uint32_t rest = end_of_whole(end);
          if (rest <= first) continue;
          best = std::min(
              best, spacer + costs_[count] + cheapest({missing.lower_bound(rest), missing.end()}, count));
        }
      }
    }
    return known_[{first, before}] = best;
  }

 private:
  // A read that begins there would bring the tail of a value alone.
  [[nodiscard]] bool is_inside_value(std::uint32_t at) const {
    return std::any_of(wish_.whole.begin(), wish_.whole.end(), [&](const Span& value) {
      return value.count <= wish_.count_max && at > value.address && at < value.end();
    });
  }

  // Up to where a read has brought everything, a value of which it has the head alone not counted.
  [[nodiscard]] std::uint32_t end_of_whole(std::uint32_t end) const {
    for (const Span& value : wish_.whole) {
      const bool parted = value.address < end && value.end() > end;
      if (parted && value.count <= wish_.count_max) return value.address;
    }
    return end;
  }

  const Wish& wish_;
  const ReadCosts& costs_;
  std::map<std::pair<std::uint32_t, std::uint32_t>, double>
      known_;  // by first register missing and last count
};

double with_spacers(const std::vector<Span>& reads, const ReadCosts& costs, std::uint16_t before) {
  double time = expected_time(reads, costs);
  for (const Span& read : reads) {
    if (read.count == before) time += costs[read.count == 1 ? 2 : 1];
    before = read.count;
  }
  return time;
}

}  // namespace

TEST_SUITE("host/link/plan") {
  // 13 octets and two silences and a turnaround of t3.5 at 19200 Bd: 11.458 ms, the time of 20 octets (10
  // registers).
  TEST_CASE("at 19200 Bd a gap of ten registers is crossed and one of eleven is not") {
    const protocol::rtu::LineTiming timing{19200, 11};
    const ReadCosts costs = read_costs({timing, {}, 0});
    const std::vector<Span> all{{0, 100}};
    CHECK(plan_reads({{{0, 2}, {11, 3}}, all, 125, 0}, costs) == std::vector<Span>{{0, 14}});
    CHECK(plan_reads({{{0, 2}, {13, 3}}, all, 125, 0}, costs) == std::vector<Span>{{0, 2}, {13, 3}});
  }

  TEST_CASE("an adapter that holds octets for 16 ms makes wider gaps worth crossing") {
    const std::vector<Span> all{{0, 500}};
    const Wish wish{{{0, 2}, {90, 3}}, all, 125, 0};
    const protocol::rtu::LineTiming timing{115200, 11};
    CHECK(plan_reads(wish, read_costs({timing, milliseconds(2), 0})).size() == 2);
    CHECK(plan_reads(wish, read_costs({timing, milliseconds(18), 0})).size() == 1);
  }

  TEST_CASE("gaps are crossed inside a readable range only, and what can't be read is left out") {
    const ReadCosts costs = read_costs({{19200, 11}, milliseconds(16), 0});
    const Wish wish{{{0, 2}, {6, 3}, {40, 4}}, {{0, 4}, {6, 10}}, 125, 0};
    CHECK(plan_reads(wish, costs) == std::vector<Span>{{0, 2}, {6, 3}});
    CHECK(plan_reads({{}, {{0, 4}}, 125, 0}, costs).empty());
    CHECK(plan_reads({{{0, 4}}, {}, 125, 0}, costs).empty());
    CHECK(plan_reads({{{0xFFFE, 9}}, {{0xFFF0, 16}}, 125, 0}, costs) == std::vector<Span>{{0xFFFE, 2}});
  }

  TEST_CASE("no read has more registers than allowed and equal neighbours are parted") {
    const ReadCosts costs = read_costs({{115200, 11}, {}, 0});
    const std::vector<Span> plan = plan_reads({{{0, 250}}, {{0, 250}}, 125, 0}, costs);
    CHECK(plan.size() == 3);
    for (std::size_t i = 1; i < plan.size(); ++i) CHECK(plan[i].count != plan[i - 1].count);
    CHECK(plan_reads({{{0, 4}}, {{0, 9}}, 125, 4}, costs) == std::vector<Span>{{0, 5}});
    CHECK(plan_reads({{{5, 4}}, {{0, 9}}, 125, 4}, costs) == std::vector<Span>{{4, 5}});
    // Nowhere to go: it stays, and the session puts a read between.
    CHECK(plan_reads({{{0, 1}, {5, 1}}, {{0, 1}, {5, 1}}, 125, 0}, costs) ==
          std::vector<Span>{{0, 1}, {5, 1}});
  }

  // A counter that carries from 0000FFFFh to 00010000h between the reads of its halves reads as 0 or
  // 0001FFFFh.
  TEST_CASE("a value of two registers is never parted between two reads, unless no read holds it") {
    const ReadCosts costs = read_costs({{115200, 11}, {}, 0});
    std::vector<Span> values;
    for (std::uint16_t at = 1; at < 251; at = static_cast<std::uint16_t>(at + 2)) values.push_back({at, 2});
    const std::vector<Span> all{{0, 252}};
    const std::vector<Span> plan = plan_reads({values, all, 125, 0, values}, costs);
    REQUIRE(plan.size() > 1);
    for (const Span& value : values) {
      CAPTURE(value.address);
      CHECK(
          std::any_of(plan.begin(), plan.end(), [&](const Span& read) { return inside_one(value, {read}); }));
    }
    // Not so before the plan knew of values: the longest block ends in the middle of one.
    const std::vector<Span> parted = plan_reads({values, all, 125, 0}, costs);
    CHECK_FALSE(std::all_of(values.begin(), values.end(), [&](const Span& value) {
      return std::any_of(parted.begin(), parted.end(),
                         [&](const Span& read) { return inside_one(value, {read}); });
    }));
    CHECK(plan_reads({{{3, 2}}, all, 1, 0, {{3, 2}}}, costs) == std::vector<Span>{{3, 1}, {4, 1}});
    CHECK(plan_reads({{{3, 2}}, {{0, 4}, {4, 4}}, 125, 0, {{3, 2}}}, costs).size() == 2);
  }

  TEST_CASE("the worse the line, the shorter the blocks") {
    std::size_t longest = 126;
    for (const std::uint32_t damaged : {0U, 500U, 2'000U, 5'000U, 20'000U, 50'000U}) {
      CAPTURE(damaged);
      const ReadCosts costs = read_costs({{115200, 11}, milliseconds(1), damaged});
      const std::vector<Span> plan = plan_reads({{{0, 120}}, {{0, 128}}, 125, 0}, costs);
      std::size_t most = 0;
      for (const Span& read : plan) most = std::max<std::size_t>(most, read.count);
      CHECK(most <= longest);
      longest = most;
    }
    CHECK(longest < 60);
    CHECK(damaged_per_million(0, 0) == 0);
    CHECK(damaged_per_million(3, 1'000) == 3'000);
    CHECK(damaged_per_million(9, 10) == 50'000);
  }

  TEST_CASE("a read within a share of damage is as long as its octets allow, and never none") {
    // ln 0.95 / ln 0.999 is 51.3: 51 octets, an answer to 23 registers.
    CHECK(count_within({{115200, 11}, {}, 1'000}, 5) == 23);
    CHECK(count_within({{115200, 11}, {}, 0}, 5) == 125);
    CHECK(count_within({{115200, 11}, {}, 100}, 5) == 125);
    CHECK(count_within({{115200, 11}, {}, 50'000}, 5) == 1);
  }

  TEST_CASE("over random maps and lines no other way in ascending order beats the plan") {
    std::mt19937 random{20261127};
    const auto below = [&](unsigned limit) { return static_cast<std::uint16_t>(random() % limit); };
    int equal_neighbours = 0;
    for (int round = 0; round < 4000; ++round) {
      Wish wish;
      std::uint16_t at = 0;
      const unsigned ranges = 1U + below(3);
      for (unsigned range = 0; range < ranges; ++range) {
        at = static_cast<std::uint16_t>(at + below(3));
        const auto count = static_cast<std::uint16_t>(1 + below(9));
        wish.readable.push_back({at, count});
        for (std::uint16_t i = 0; i < count; ++i) {
          const auto here = static_cast<std::uint16_t>(at + i);
          if (i + 1 < count && below(4) == 0) {
            wish.whole.push_back({here, 2});
            wish.wanted.push_back(wish.whole.back());
            ++i;
          } else if (below(2) == 0) {
            wish.wanted.push_back({here, 1});
          }
        }
        at = static_cast<std::uint16_t>(at + count);
      }
      wish.count_max = static_cast<std::uint16_t>(1 + below(6));
      wish.count_before = below(4);
      const std::uint32_t bauds[]{1200, 9600, 19200, 115200};
      const LineCost line{{bauds[below(4)], 11}, microseconds(below(3) * 4000), below(3) * 20'000U};
      const ReadCosts costs = read_costs(line);
      const std::vector<Span> plan = plan_reads(wish, costs);

      const std::set<std::uint32_t> wanted = registers_of(wish.wanted);
      const std::set<std::uint32_t> brought = registers_of(plan);
      const double best = EveryWay{wish, costs}.cheapest(wanted, wish.count_before);
      const double ours = with_spacers(plan, costs, wish.count_before);
      CAPTURE(round);
      if (!std::includes(brought.begin(), brought.end(), wanted.begin(), wanted.end()))
        FAIL_CHECK("incomplete");
      if (ours > best * (1 + 1e-12) + 1e-9)
        FAIL_CHECK("took " << ours << " where " << best << " is possible");
      for (const Span& value : wish.whole) {
        const auto touching = std::find_if(plan.rbegin(), plan.rend(), [&](const Span& read) {
          return read.address < value.end() && read.end() > value.address;
        });
        if (value.count <= wish.count_max && !inside_one(value, {*touching}))
          FAIL_CHECK("parted " << value.address);
      }
      for (std::size_t i = 0; i < plan.size(); ++i) {
        if (!inside_one(plan[i], wish.readable) || plan[i].count > wish.count_max) FAIL_CHECK("read " << i);
        equal_neighbours += i > 0 && plan[i].count == plan[i - 1].count ? 1 : 0;
      }
    }
    // With room for one register only, neighbours can't differ; the maps hold some of those.
    CHECK(equal_neighbours > 0);
  }
}
