#include <cstdio>

#include "sim/port/program.hpp"

namespace {

constexpr int kIoError = 74;

}  // namespace

int main(int count, char** arguments) {
  const auto options = sim::port::parse_options(count, arguments);
  const sim::port::Ending ending =
      options ? sim::port::run(*options) : sim::port::Ending{options.error().code, options.error().text};
  if (ending.code != 0 || options) {
    std::fputs(ending.text.c_str(), stderr);
    return ending.code;
  }
  if (std::fputs(ending.text.c_str(), stdout) >= 0 && std::fflush(stdout) == 0) return 0;
  std::fputs("strapline-sim: can't write to standard output\n", stderr);
  return kIoError;
}
