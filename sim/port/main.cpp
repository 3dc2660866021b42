#include <cstdio>

#include "sim/port/program.hpp"

int main(int count, char** arguments) {
  const auto options = sim::port::parse_options(count, arguments);
  const sim::port::Ending ending =
      options ? sim::port::run(*options) : sim::port::Ending{options.error().code, options.error().text};
  std::fputs(ending.text.c_str(), ending.code == 0 && !options ? stdout : stderr);
  return ending.code;
}
