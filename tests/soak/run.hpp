#pragma once

#include <algorithm>
#include <cstdint>

#include "protocol/pdu/request.hpp"
#include "tests/soak/device.hpp"
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
    (void)wire_.executed_damaged();
    ++tally.operations;
    const std::uint32_t kind = dice_.below(16);
    if (kind == 0 || (echo_ && kind < 8)) {
      write(tally);
    } else {
      read(tally, kind);
    }
  }

  void write(Tally& tally) {
    const auto word = static_cast<std::uint16_t>(dice_.next());
    const auto& outcome =
        talk_.ask(protocol::pdu::write_single_register(TellingDevice::kScratch, word), now_);
    judge(tally, outcome, device_.scratch == word);
  }

  // Of two or three registers mostly, so that shapes repeat as often as they can.
  void read(Tally& tally, std::uint32_t kind) {
    const auto count = static_cast<std::uint16_t>(kind == 1 ? 1 + dice_.below(125) : 2 + dice_.below(2));
    const auto address = static_cast<std::uint16_t>(dice_.below(0xD000));
    const bool holding = dice_.below(3) == 0;
    const auto& outcome = talk_.ask(holding ? protocol::pdu::read_holding_registers(address, count)
                                            : protocol::pdu::read_input_registers(address, count),
                                    now_);
    bool right = outcome.ok() && outcome.value().word_count() == count;
    const auto table = holding ? TellingDevice::Table::kHolding : TellingDevice::Table::kInput;
    for (std::uint16_t i = 0; right && i < count; ++i) {
      right = outcome.value().word(i) == device_.word(table, static_cast<std::uint16_t>(address + i));
    }
    judge(tally, outcome, right);
  }

  void judge(Tally& tally, const protocol::session::Outcome& outcome, bool right) {
    if (!outcome.ok()) {
      ++tally.failures;
    } else if (right) {
      ++tally.right;
    } else if (wire_.executed_damaged() || !wire_.was_sent(outcome.value().octets())) {
      ++tally.coincidences;
    } else {
      ++tally.wrong;
    }
  }

  Dice dice_;
  TellingDevice device_;
  Wire wire_;
  Talk<Guards> talk_;
  Instant now_{};
  bool echo_;
};

}  // namespace tests::soak
