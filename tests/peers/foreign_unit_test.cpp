// A libmodbus client and mbpoll read a simulated unit whose board is of another house.
#include <array>
#include <cerrno>
#include <memory>
#include <string>
#include <vector>

#include <doctest/doctest.h>
#include <modbus/modbus.h>

#include "tests/support/run_program.hpp"

namespace {

using tests::support::Outcome;
using tests::support::program_path;
using tests::support::Running;
using tests::support::source_path;
using tests::support::TemporaryFolder;

struct Free {
  void operator()(modbus_t* context) const {
    modbus_close(context);
    modbus_free(context);
  }
};
using Context = std::unique_ptr<modbus_t, Free>;

/// A simulated desk of the control room's wall, nominal parts, until this goes.
class Wall {
 public:
  explicit Wall(const std::vector<std::string>& port)
      : simulator_{{program_path("strapline-sim"), arguments(port)}} {
    REQUIRE(simulator_.wait_for("ready: "));
  }

  // Of a TCP port.
  [[nodiscard]] int port() {
    const std::string head = "127.0.0.1:";
    const std::size_t at = simulator_.err().find(head);
    REQUIRE(at != std::string::npos);
    return std::stoi(simulator_.err().substr(at + head.size()));
  }

 private:
  static std::vector<std::string> arguments(const std::vector<std::string>& port) {
    std::vector<std::string> all{
        "control-wall", "--seed", "0", "--serial", "4310482", "--catalog", source_path("host/catalog")};
    all.insert(all.end(), port.begin(), port.end());
    return all;
  }

  Running simulator_;
};

// The words and where they stand: tests/sim/unit/foreign_registers_test.cpp.
void check_wall(modbus_t& unit) {
  std::array<std::uint16_t, 125> words{};
  const auto inputs = [&](int address, int count) {
    words.fill(0);
    return modbus_read_input_registers(&unit, address, count, words.data()) == count;
  };
  REQUIRE(inputs(0, 10));
  CHECK(MODBUS_GET_INT32_FROM_INT16(words.data(), 0) != 4'310'482);  // its low word comes first
  CHECK((std::uint32_t{words[1]} << 16U | words[0]) == 4'310'482);
  CHECK(words[2] == 0x302E);  // "0.1.0"
  CHECK(words[3] == 0x312E);
  CHECK(words[4] == 0x3000);
  REQUIRE(inputs(16, 6));
  CHECK(words[0] == 2397);
  CHECK(words[1] == 330);
  CHECK(words[2] == 1200);
  CHECK(words[3] == 1198);
  CHECK(words[4] == 795);
  CHECK(words[5] == 2393);
  REQUIRE(inputs(40, 4));
  CHECK(words[0] == 1000);
  CHECK((std::uint32_t{words[2]} << 16U | words[1]) == 24'000);
  CHECK(words[3] == 8120);
  REQUIRE(inputs(64, 2));
  CHECK(words[0] == 0b10);
  CHECK(words[1] == 0b0101);
  REQUIRE(inputs(96, 5));
  CHECK(words[0] == 2560);
  CHECK(words[1] == 1440);
  CHECK(words[2] == 2720);
  CHECK(words[3] == 1481);
  CHECK(words[4] == 24'150);

  std::array<std::uint8_t, 16> bits{};
  REQUIRE(modbus_read_input_bits(&unit, 0, 16, bits.data()) == 16);
  for (std::size_t i = 0; i < bits.size(); ++i) {
    CAPTURE(i);
    CHECK(bits[i] == (i == 3 || i == 4 ? 1 : 0));
  }
  REQUIRE(modbus_read_registers(&unit, 200, 8, words.data()) == 8);
  CHECK(words[0] == 80);
  CHECK(words[7] == 0);

  // What its file doesn't name isn't there; it is never written to; it says nothing of itself.
  REQUIRE(inputs(0, 100));
  CHECK_FALSE(inputs(0, 101));
  CHECK(errno == EMBXILVAL);
  CHECK_FALSE(inputs(127, 2));
  CHECK(errno == EMBXILADD);
  CHECK(modbus_read_registers(&unit, 199, 1, words.data()) == -1);
  CHECK(errno == EMBXILADD);
  CHECK(modbus_read_bits(&unit, 0, 1, bits.data()) == -1);
  CHECK(errno == EMBXILFUN);
  CHECK(modbus_write_register(&unit, 200, 50) == -1);
  CHECK(errno == EMBXILFUN);
  CHECK(modbus_write_bit(&unit, 3, 1) == -1);
  CHECK(errno == EMBXILFUN);
}

void check_refused(modbus_t& unit, const std::vector<std::uint8_t>& pdu) {
  std::vector<std::uint8_t> request{1};
  request.insert(request.end(), pdu.begin(), pdu.end());
  std::array<std::uint8_t, MODBUS_MAX_ADU_LENGTH> answer{};
  REQUIRE(modbus_send_raw_request(&unit, request.data(), static_cast<int>(request.size())) > 0);
  // The library leaves the answer to a raw request as it came.
  const auto at = static_cast<std::size_t>(modbus_get_header_length(&unit));
  REQUIRE(modbus_receive_confirmation(&unit, answer.data()) >= static_cast<int>(at + 2));
  CHECK(answer.at(at) == (pdu.front() | 0x80));
  CHECK(answer.at(at + 1) == MODBUS_EXCEPTION_ILLEGAL_FUNCTION);
}

Context opened(modbus_t* made) {
  Context unit{made};
  REQUIRE(unit);
  REQUIRE(modbus_set_slave(unit.get(), 1) == 0);
  REQUIRE(modbus_set_response_timeout(unit.get(), 10, 0) == 0);
  REQUIRE(modbus_connect(unit.get()) == 0);
  return unit;
}

}  // namespace

TEST_SUITE("peers/foreign_unit") {
  TEST_CASE("a libmodbus client reads a foreign unit where its board's file says, and nothing else") {
    const TemporaryFolder folder;
    const std::string link = folder.path() + "/unit";
    Wall wall{{"--pty", link}};
    const Context unit = opened(modbus_new_rtu(link.c_str(), 19'200, 'N', 8, 1));
    check_wall(*unit);
    check_refused(*unit, {0x08, 0x00, 0x00, 0xA5, 0x37});
    check_refused(*unit, {0x2B, 0x0E, 0x01, 0x00});
    check_wall(*unit);
  }

  TEST_CASE("over Modbus/TCP it is the same") {
    Wall wall{{"--mbtcp", "127.0.0.1:0"}};
    const Context unit = opened(modbus_new_tcp("127.0.0.1", wall.port()));
    check_wall(*unit);
    check_refused(*unit, {0x08, 0x00, 0x00, 0xA5, 0x37});
    check_refused(*unit, {0x2B, 0x0E, 0x01, 0x00});
  }

  TEST_CASE("mbpoll reads it, and is refused as the standard has it") {
    const TemporaryFolder folder;
    const std::string link = folder.path() + "/unit";
    const Wall wall{{"--pty", link}};
    const auto mbpoll = [&link](const std::vector<std::string>& what) {
      std::vector<std::string> arguments{"-m",   "rtu", "-a", "1",  "-b", "19200", "-P",
                                         "none", "-0",  "-1", "-q", "-o", "10"};
      arguments.insert(arguments.end(), what.begin(), what.end());
      arguments.push_back(link);
      return tests::support::run(
          {.program = "mbpoll", .arguments = arguments, .time_limit = std::chrono::seconds{60}});
    };
    const auto holds = [](const Outcome& outcome, const char* part) {
      return (outcome.out + outcome.err).find(part) != std::string::npos;
    };
    const Outcome rails = mbpoll({"-t", "3", "-r", "16", "-c", "6"});
    INFO(rails.out);
    INFO(rails.err);
    CHECK(rails.exit_code == 0);
    CHECK(holds(rails, "[16]: \t2397\n"));
    CHECK(holds(rails, "[19]: \t1198\n"));
    // Without -B the first word is the low one.
    CHECK(holds(mbpoll({"-t", "3:int", "-r", "0", "-c", "1"}), "[0]: \t4310482\n"));
    CHECK(holds(mbpoll({"-t", "3:int", "-r", "41", "-c", "1"}), "[41]: \t24000\n"));
    CHECK(holds(mbpoll({"-t", "1", "-r", "3", "-c", "1"}), "[3]: \t1\n"));
    CHECK(holds(mbpoll({"-t", "1", "-r", "5", "-c", "1"}), "[5]: \t0\n"));
    CHECK(holds(mbpoll({"-t", "4", "-r", "200", "-c", "1"}), "[200]: \t80\n"));
    CHECK(holds(mbpoll({"-t", "3", "-r", "128", "-c", "1"}), "Illegal data address"));
    CHECK(holds(mbpoll({"-t", "0", "-r", "0", "-c", "1"}), "Illegal function"));
  }
}
