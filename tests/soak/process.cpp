#include "tests/soak/process.hpp"

#include <filesystem>
#include <fstream>
#include <iterator>

namespace tests::soak {

Holdings holdings() {
  constexpr std::size_t kPageKib = 4;
  std::ifstream file{"/proc/self/statm"};
  std::size_t total = 0;
  std::size_t resident = 0;
  file >> total >> resident;
  const auto descriptors = std::distance(std::filesystem::directory_iterator{"/proc/self/fd"}, {});
  return {resident * kPageKib, static_cast<std::size_t>(descriptors)};
}

}  // namespace tests::soak
