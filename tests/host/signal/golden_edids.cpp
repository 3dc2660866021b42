#include "tests/host/signal/golden_edids.hpp"

#include <cstdlib>
#include <fstream>
#include <sstream>

#include "host/signal/edid_text.hpp"

namespace tests {

std::vector<std::uint8_t> golden_edid(const std::string& name) {
  const char* source = std::getenv("STRAPLINE_SOURCE");
  std::ifstream file(std::string(source != nullptr ? source : ".") + "/tests/vectors/edid/" + name + ".hex");
  std::ostringstream text;
  text << file.rdbuf();
  return host::signal::parse_edid_file(text.str()).value_or(std::vector<std::uint8_t>{});
}

void mend_checksums(std::vector<std::uint8_t>& bytes) {
  for (std::size_t at = 0; at + 128 <= bytes.size(); at += 128) {
    unsigned sum = 0;
    for (std::size_t i = 0; i < 127; ++i) sum += bytes[at + i];
    bytes[at + 127] = static_cast<std::uint8_t>(0U - sum);
  }
}

}  // namespace tests
