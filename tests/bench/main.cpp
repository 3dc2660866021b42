// Reads one unit again and again with one of two clients, and prints what a read costs; scripts/bench wire
// runs it.

#include <array>
#include <charconv>
#include <chrono>
#include <cstdint>
#include <cstdio>
#include <string_view>

#include <sys/resource.h>

#include "tests/bench/asker.hpp"
#include "tests/bench/unit.hpp"

namespace {

using namespace tests::bench;

// Short, middling and longest; no two in a row alike, so that neither client has anything to do between them.
constexpr std::array<std::uint16_t, 4> kCounts{1, 60, 10, 125};

std::int64_t processor_us() {
  rusage used{};
  ::getrusage(RUSAGE_SELF, &used);
  constexpr std::int64_t kMicroseconds = 1'000'000;
  return (used.ru_utime.tv_sec + used.ru_stime.tv_sec) * kMicroseconds + used.ru_utime.tv_usec +
         used.ru_stime.tv_usec;
}

class Reads {
 public:
  explicit Reads(Asker& asker) : asker_{asker} {}

  [[nodiscard]] bool run(std::uint32_t transactions) {
    for (std::uint32_t i = 0; i < transactions; ++i) {
      const std::size_t which = i % kCounts.size();
      const auto words = std::span{words_}.first(kCounts.at(which));
      if (!asker_.read(kImageAddress, words)) return false;
      if (!same(which)) {
        std::fputs("bench_wire: a read of the image gave other words than the one before\n", stderr);
        return false;
      }
    }
    return true;
  }

 private:
  bool same(std::size_t which) {
    std::uint32_t sum = 1;
    for (std::size_t i = 0; i < kCounts.at(which); ++i) sum = sum * 31 + words_.at(i);
    std::uint32_t& first = sums_.at(which);
    if (first == 0) first = sum;
    return first == sum;
  }

  Asker& asker_;
  std::array<std::uint16_t, 125> words_{};
  std::array<std::uint32_t, kCounts.size()> sums_{};
};

int measure(Asker& asker, std::uint32_t transactions) {
  Reads reads{asker};
  if (!asker.latch() || !reads.run(2 * kCounts.size())) return 69;
  const auto began = std::chrono::steady_clock::now();
  const std::int64_t used = processor_us();
  if (!reads.run(transactions)) return 69;
  const std::int64_t cpu_us = processor_us() - used;
  const auto wall = std::chrono::steady_clock::now() - began;
  std::printf("%u %lld %lld\n", transactions,
              static_cast<long long>(std::chrono::duration_cast<std::chrono::microseconds>(wall).count()),
              static_cast<long long>(cpu_us));
  return 0;
}

bool number(std::string_view text, std::uint32_t& into) {
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), into);
  return error == std::errc{} && end == text.data() + text.size();
}

}  // namespace

int main(int argc, char** argv) {
  std::uint32_t transactions = 0;
  std::uint32_t gap_us = 0;
  const std::string_view client{argc > 1 ? argv[1] : ""};
  const bool sound = (argc == 4 || (argc == 5 && client == "libmodbus" && number(argv[4], gap_us))) &&
                     (client == "session" || client == "libmodbus") && number(argv[3], transactions);
  if (!sound || transactions == 0) {
    std::fputs(
        "usage: bench_wire session LINK TRANSACTIONS\n"
        "       bench_wire libmodbus DEVICE|HOST:PORT TRANSACTIONS [GAP_US]\n"
        "prints transactions, wall time and processor time in us\n",
        stderr);
    return 64;
  }
  const auto asker = client == "session" ? session_asker(argv[2]) : libmodbus_asker(argv[2], gap_us);
  return asker ? measure(*asker, transactions) : 69;
}
