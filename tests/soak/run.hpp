#pragma once

#include <algorithm>
#include <cstdint>

#include "tests/soak/device.hpp"
#include "tests/soak/question.hpp"
#include "tests/soak/talk.hpp"
#include "tests/soak/wire.hpp"

namespace tests::soak {

/// One client, one wire, one unit, under one clock.
template <typename Guards>
class Run {
 public:
  Run(const Mix& mix, std::uint64_t seed)
      : dice_{seed}, wire_{mix, seed ^ 0x5EEDULL, device_}, talk_{wire_, seed}, echo_{mix.echo} {
    (void)talk_.open(now_);
  }

  /// Operations of every kind until that many transactions are done; then the faults stop, and two more have
  /// to find the way back.
  void go(std::uint64_t transactions, Tally& tally) {
    const std::uint64_t begun = talk_.statistics().transactions;
    while (talk_.statistics().transactions - begun < transactions) {
      operate(tally);
      talk_.idle(protocol::base::microseconds(dice_.below(3'000)), now_);
    }
    // An answer that is already late by up to 441 ms is a fault at work, for a client that was told 5 ms.
    wire_.calm();
    now_ = std::max(now_, wire_.last());
    Tally after;
    operate(after);
    if (after.right == 0) operate(after);
    if (after.right == 0 || after.wrong > 0) ++tally.not_recovered;
    talk_.add_to(tally);
    tally.add(wire_.counts());
  }

 private:
  void operate(Tally& tally) {
    ++device_.epoch;
    wire_.begin();
    ++tally.operations;
    const Question question = questions_.draw(echo_);
    const protocol::session::Counters before = wire_.counters();
    const auto& outcome = talk_.ask(question.request, now_);
    if (!outcome.ok()) {
      ++tally.failures;
    } else if (answers(question, outcome.value().octets(), before)) {
      ++tally.right;
      ++tally.right_by_function[static_cast<std::size_t>(question.request.function())];
    } else if (wire_.executed_damaged() || !wire_.was_sent(outcome.value().octets())) {
      ++tally.coincidences;
    } else {
      ++tally.wrong;
    }
  }

  // Octet by octet, said in this operation, and done.
  bool answers(const Question& question, Octets heard, const protocol::session::Counters& before) {
    if (!wire_.has_answered(heard) || device_.scratch != question.scratch) return false;
    const Octets right = question.answer();
    if (question.counter == 0) return std::equal(heard.begin(), heard.end(), right.begin(), right.end());
    const auto counter = static_cast<protocol::session::Counter>(question.counter);
    const auto more = static_cast<std::uint16_t>(protocol::base::read_be16(heard, 3) - before[counter]);
    const auto most = static_cast<std::uint16_t>(wire_.counters()[counter] - before[counter]);
    return std::equal(heard.begin(), heard.begin() + 3, right.begin()) && more >= 1 && more <= most;
  }

  Dice dice_;
  TellingDevice device_;
  Questions questions_{dice_, device_};
  Wire wire_;
  Talk<Guards> talk_;
  Instant now_{};
  bool echo_;
};

}  // namespace tests::soak
