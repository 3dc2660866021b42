#pragma once

#include <cstdint>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

namespace tests::vectors {

/// One row of modbus-frames.csv.
struct ModbusFrame {
  std::string id;
  bool request = false;
  std::vector<std::uint8_t> octets;
};

/// "11 03 00" to octets.
inline std::vector<std::uint8_t> octets_of(const std::string& hex) {
  std::vector<std::uint8_t> octets;
  std::istringstream text{hex};
  for (std::string pair; text >> pair;) {
    octets.push_back(static_cast<std::uint8_t>(std::strtoul(pair.c_str(), nullptr, 16)));
  }
  return octets;
}

/// Every frame of modbus-frames.csv, in its order; empty when the file can't be read. The first four
/// columns hold no quotes: id, direction, clause, octets in hexadecimal.
inline std::vector<ModbusFrame> modbus_frames() {
  const char* source = std::getenv("STRAPLINE_SOURCE");
  std::ifstream file{std::string{source == nullptr ? "." : source} + "/tests/vectors/modbus-frames.csv"};
  std::vector<ModbusFrame> frames;
  std::string line;
  std::getline(file, line);
  while (std::getline(file, line)) {
    std::istringstream row{line};
    std::string id;
    std::string direction;
    std::string clause;
    std::string hex;
    std::getline(row, id, ',');
    std::getline(row, direction, ',');
    std::getline(row, clause, ',');
    std::getline(row, hex, ',');
    frames.push_back({id, direction == "request", octets_of(hex)});
  }
  return frames;
}

/// The octets of the row `id` in one direction; empty when there is none.
inline std::vector<std::uint8_t> modbus_frame(const std::string& id, bool request) {
  for (const ModbusFrame& frame : modbus_frames()) {
    if (frame.id == id && frame.request == request) return frame.octets;
  }
  return {};
}

}  // namespace tests::vectors
