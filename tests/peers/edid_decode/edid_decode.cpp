#include "tests/peers/edid_decode/edid_decode.hpp"

#include <cmath>
#include <sstream>

#include "host/signal/edid_text.hpp"
#include "tests/support/run_program.hpp"

namespace tests::edid_decode {

Run run(const std::vector<std::string>& arguments) {
  support::Launch launch;
  launch.program = "edid-decode";
  launch.arguments = arguments;
  const auto outcome = support::run(launch);
  return {outcome.exit_code, outcome.out + outcome.err};
}

Run check(std::span<const std::uint8_t> bytes) {
  const support::TemporaryFolder folder;
  return run({"--check", "--skip-hex-dump", "--skip-sha",
              folder.write("edid.hex", host::signal::edid_file_text(bytes))});
}

std::vector<PrintedTiming> timings_in(const std::string& out) {
  std::vector<PrintedTiming> result;
  std::istringstream lines(out);
  std::string line;
  while (std::getline(lines, line)) {
    // "    DTD 1:  1920x360    60.000000 Hz  16:3     24.000 kHz     50.400000 MHz (698 mm x 131 mm)"
    const auto colon = line.find(": ");
    const auto megahertz = line.find(" MHz");
    if (colon != std::string::npos && megahertz != std::string::npos &&
        line.find(" kHz") != std::string::npos) {
      PrintedTiming timing;
      const auto start = line.find_first_not_of(' ');
      timing.kind = line.substr(start, colon - start);
      std::istringstream size(line.substr(colon + 1));
      char times = 0;
      size >> timing.columns >> times >> timing.lines;
      timing.interlaced = size.peek() == 'i';
      const auto number = line.find_last_of(' ', megahertz - 1);
      timing.clock_khz = std::llround(std::stod(line.substr(number)) * 1000);
      result.push_back(timing);
      continue;
    }
    // "                 Hfront   60 Hsync  20 Hback  100 Hpol N"
    std::istringstream words(line);
    std::string first, sync, back, polarity, sign;
    long long front = 0, width = 0, porch = 0;
    if (result.empty() || !(words >> first >> front >> sync >> width >> back >> porch)) continue;
    words >> polarity >> sign;
    PrintedTiming& timing = result.back();
    if (first == "Hfront") {
      timing.h_front = front;
      timing.h_sync = width;
      timing.h_back = porch;
      timing.h_positive = sign == "P";
    } else if (first == "Vfront" && timing.v_sync == 0) {
      timing.v_front = front;
      timing.v_sync = width;
      timing.v_back = porch;
      timing.v_positive = sign == "P";
    }
  }
  return result;
}

}  // namespace tests::edid_decode
