#include "tests/soak/process.hpp"

#include <filesystem>
#include <fstream>
#include <iterator>

#ifdef __SANITIZE_ADDRESS__
// The sanitizer keeps 256 MiB of what was freed aside to see it used again, which looks like a leak for as
// long as that isn't full; one is enough for transactions as short as these.
// NOLINTBEGIN(bugprone-reserved-identifier): the sanitizer's name
extern "C" const char* __asan_default_options();
extern "C" const char* __asan_default_options() {
  return "quarantine_size_mb=1";
}
// NOLINTEND(bugprone-reserved-identifier)
#endif

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
