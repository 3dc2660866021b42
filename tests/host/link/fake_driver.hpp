#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include <linux/serial.h>

#include "host/link/driver.hpp"

/// The driver of an adapter laid over a pseudo-terminal: what the terminal doesn't have is kept here,
/// everything else is asked of it. What is not set, this driver doesn't have.
struct FakeDriver final : host::link::Driver {
  // How a terminal's settings are read and written; their header can't stand beside <termios.h>.
  static const unsigned long kReadSettings;
  static const unsigned long kWriteSettings;

  std::optional<serial_rs485> rs485;
  std::uint32_t rs485_ignores = 0;         // flags that it takes without a word and doesn't keep
  std::vector<std::uint32_t> rs485_asked;  // flags, at each setting

  std::optional<serial_struct> serial;
  int serial_refuses = 0;                // errno of each setting
  std::vector<std::int32_t> serial_set;  // flags, at each setting

  std::optional<std::uint32_t> runs_at;  // the speed it makes of any that is asked for
  bool drops_marks = false;              // it has no mark for a damaged character
  std::optional<serial_icounter_struct> counts;

  std::vector<unsigned long> requests;  // whatever it was asked, in order

  [[nodiscard]] int control(int fd, unsigned long request, void* argument) override;
  [[nodiscard]] bool is_pseudo_terminal(dev_t) override { return false; }
};
