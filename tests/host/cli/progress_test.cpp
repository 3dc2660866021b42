#include "host/cli/progress.hpp"

#include <string>

#include <doctest/doctest.h>

using host::cli::fitted;

TEST_SUITE("host/cli/progress") {
  TEST_CASE("a line is never wider than the terminal, and keeps its beginning and its end") {
    const std::string path = "/dev/serial/by-id/usb-Some_Vendor_Quad_RS485_Adapter_With_Long_Name-if00-port0";
    const std::string line = "asking address 17 on " + path + " at 115200 Bd 8E1 ...";
    for (std::size_t columns = 0; columns < 120; ++columns) CHECK(fitted(line, columns).size() <= columns);
    CHECK(fitted(line, line.size()) == line);
    CHECK(fitted(line, 79).starts_with("asking address 17 on /dev/"));
    CHECK(fitted(line, 79).ends_with("port0 at 115200 Bd 8E1 ..."));
    CHECK(fitted("abc", 2) == "..");
    CHECK(fitted("", 0).empty());
  }

  TEST_CASE("no character is cut in two") {
    std::string text;
    for (int i = 0; i < 40; ++i) text += "é";
    for (std::size_t columns = 4; columns < 80; ++columns) {
      const std::string cut = fitted(text, columns);
      const std::size_t dots = cut.find("...");
      REQUIRE(dots != std::string::npos);
      CHECK(dots % 2 == 0);
      CHECK((cut.size() - dots - 3) % 2 == 0);
    }
  }
}
