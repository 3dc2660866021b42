#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>

namespace tests::bench {

/// A client that reads input registers of unit 1, one request and one answer at a time.
class Asker {
 public:
  Asker() = default;
  virtual ~Asker() = default;
  Asker(const Asker&) = delete;
  Asker& operator=(const Asker&) = delete;

  /// Makes the unit copy its readings into the image. Errors   false; the reason is on stderr.
  [[nodiscard]] virtual bool latch() = 0;

  /// Fills `words` with what stands from `address` on. Precondition: 1 to 125 of them. Errors   as latch().
  [[nodiscard]] virtual bool read(std::uint16_t address, std::span<std::uint16_t> words) = 0;
};

/// Over host/link's session. `link` is any link's text. Null if it can't be opened.
[[nodiscard]] std::unique_ptr<Asker> session_asker(const std::string& link);

/// Over libmodbus: "HOST:PORT" for Modbus/TCP, else a device at 115200 Bd 8E1, before each of whose requests
/// it sleeps for `gap_us`, as RTU asks and libmodbus leaves to its caller. Null if it can't be opened.
[[nodiscard]] std::unique_ptr<Asker> libmodbus_asker(const std::string& where, std::uint32_t gap_us);

}  // namespace tests::bench
