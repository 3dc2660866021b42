#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "host/verify/reader.hpp"

/// A Reader to a unit of the board maple with the kit control-wall in which all is well, in memory. Every
/// register of its readable ranges can be read; the words stand as host/catalog/boards/maple.toml says.
class ForeignUnit final : public host::verify::Reader {
 public:
  using Place = std::pair<int, std::uint16_t>;  // function code that reads it, address

  ForeignUnit() {
    const auto inputs = [this](std::uint16_t address, const std::vector<std::uint16_t>& words) {
      for (const std::uint16_t word : words) cells[{4, address++}] = word;
    };
    inputs(0, {0xC5D2, 0x0041});                     // serial number 4310482, low word first
    inputs(2, {0x3722, 0x2E34, 0x0000, 0x0000});     // "7\".4": two letters a word, NUL after them
    inputs(8, {36'005, 0, 12});                      // 3600.5 s up, 12 changes
    inputs(16, {2401, 330, 1201, 1199, 640, 2398});  // supply, logic, panel twice in 10 mV, mA, light
    inputs(30, {0});                                 // brown-outs
    inputs(40, {998, 24'000, 0, 8120});              // 4990 mV, 240.00 Hz, 812.0 permille
    inputs(64, {0b10, 0b0101});                      // BR1 2-3, S1 1010
    inputs(96, {2560, 1440, 2720, 1481, 24'150});
    cells[{2, 3}] = 1;
    cells[{2, 4}] = 1;
    cells[{3, 200}] = 80;
  }

  std::map<Place, std::uint16_t> cells;
  std::set<Place> refused;  // reads of these are answered with an exception
  std::optional<host::link::DeviceObjects> objects;
  host::link::WireStatistics statistics_now;
  std::vector<std::pair<Place, std::uint16_t>> reads;  // and how many
  int identified = 0;
  int written = 0;
  std::uint16_t changes_step = 0;  // what the change counter gains with each read

  host::link::Result<std::vector<std::uint16_t>> read(host::link::Table table, std::uint16_t address,
                                                      std::uint16_t count) override {
    return take({table == host::link::Table::kInput ? 4 : 3, address}, count);
  }

  host::link::Result<std::vector<bool>> read_bits(host::link::BitTable table, std::uint16_t address,
                                                  std::uint16_t count) override {
    const auto words = take({static_cast<int>(table), address}, count);
    if (!words) return tl::unexpected{words.error()};
    return std::vector<bool>(words->begin(), words->end());
  }

  host::link::Result<void> write(std::uint16_t, std::span<const std::uint16_t>) override {
    ++written;
    return {};
  }

  host::link::Result<host::link::DeviceObjects> identify() override {
    ++identified;
    if (objects) return *objects;
    return host::link::failure(host::link::Fault::kRefused, "refused");
  }

  [[nodiscard]] host::link::WireStatistics statistics() const override { return statistics_now; }

 private:
  host::link::Result<std::vector<std::uint16_t>> take(Place from, std::uint16_t count) {
    reads.emplace_back(from, count);
    cells[{4, 10}] = static_cast<std::uint16_t>(cells[{4, 10}] + changes_step);
    const int size = from.first == 4 ? 128 : from.first == 3 ? 208 : 16;
    std::vector<std::uint16_t> words;
    for (std::uint16_t i = 0; i < count; ++i) {
      const Place at{from.first, static_cast<std::uint16_t>(from.second + i)};
      if (at.second >= size || refused.contains(at)) {
        auto error = host::link::link_error(host::link::Fault::kRefused, "refused");
        error.exception_code = std::uint8_t{2};
        return tl::unexpected{error};
      }
      const auto found = cells.find(at);
      words.push_back(found == cells.end() ? std::uint16_t{0} : found->second);
    }
    return words;
  }
};
