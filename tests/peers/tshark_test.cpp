#include <algorithm>
#include <filesystem>
#include <string>

#include <doctest/doctest.h>

#include "tests/host/link/tcp_unit.hpp"
#include "tests/support/run_program.hpp"

using tests::support::Launch;
using tests::support::Outcome;
using tests::support::program_path;
using tests::support::run;
using tests::support::Running;
using tests::support::source_path;
using tests::support::TemporaryFolder;

namespace {

std::string captured(const TemporaryFolder& folder, const std::string& link, int exit_code = 0) {
  const std::string file = folder.path() + "/run.pcapng";
  Launch verify;
  verify.program = program_path("strapline");
  verify.arguments = {
      "--catalog", source_path("host/catalog"), "verify", "stop-display", "--link", link, "--trace", file};
  verify.environment = {{"LC_ALL", "C.UTF-8"}, {"HOME", "/nonexistent"}};
  const Outcome outcome = run(verify);
  INFO(outcome.err);
  REQUIRE(outcome.exit_code == exit_code);
  return file;
}

Outcome analysed(const std::string& file, std::vector<std::string> more) {
  Launch tshark;
  tshark.program = "tshark";
  tshark.arguments = {"-r", file};
  tshark.arguments.insert(tshark.arguments.end(), more.begin(), more.end());
  tshark.environment = {{"HOME", std::filesystem::path{file}.parent_path().string()}};
  return run(tshark);
}

std::size_t lines(const std::string& text) {
  return static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
}

}  // namespace

TEST_SUITE("peers/tshark") {
  TEST_CASE("tshark decodes every frame of a captured verify as Modbus RTU, none malformed, every CRC good") {
    const TemporaryFolder folder;
    const std::string file = captured(folder, "sim:stop-display");
    const std::vector<std::string> as_rtu{"-d", "rtacser.data,mbrtu", "-o", "mbrtu.crc_verification:TRUE"};
    const auto with = [&](std::vector<std::string> more) {
      more.insert(more.begin(), as_rtu.begin(), as_rtu.end());
      return analysed(file, more);
    };
    const Outcome all =
        with({"-T", "fields", "-e", "rtacser.eventtype", "-e", "mbrtu.unit_id", "-e", "modbus.func_code"});
    INFO(all.err);
    REQUIRE(all.exit_code == 0);
    CHECK(lines(all.out) >= 12);
    CHECK(lines(with({"-Y", "mbrtu"}).out) == lines(all.out));
    CHECK(with({"-Y", "_ws.malformed || mbrtu.crc16.status == 0"}).out.empty());
    // Sent and received take turns: events 1 and 2 of the header.
    CHECK(lines(with({"-Y", "rtacser.eventtype == 1"}).out) == lines(all.out) / 2);
    // The latch of the profile: one register written, and its answer.
    CHECK(lines(with({"-Y", "modbus.func_code == 6"}).out) == 2);
  }

  TEST_CASE("tshark decodes RTU frames that went over TCP, none malformed, every CRC good") {
    const TemporaryFolder folder;
    Launch simulator;
    simulator.program = program_path("strapline-sim");
    simulator.arguments = {"stop-display", "--tcp", "127.0.0.1:0", "--catalog", source_path("host/catalog")};
    Running running{simulator};
    REQUIRE(running.wait_for("ready: tcp://"));
    const std::string ready = running.err();
    const std::size_t at = ready.find("tcp://");
    const std::string link = ready.substr(at, ready.find_first_of(" \n", at) - at) + "?own=yes";
    const std::string file = captured(folder, link);
    const std::vector<std::string> as_rtu{"-d", "rtacser.data,mbrtu", "-o", "mbrtu.crc_verification:TRUE"};
    const auto with = [&](std::vector<std::string> more) {
      more.insert(more.begin(), as_rtu.begin(), as_rtu.end());
      return analysed(file, more);
    };
    const Outcome all = with({"-T", "fields", "-e", "modbus.func_code"});
    INFO(all.err);
    REQUIRE(all.exit_code == 0);
    CHECK(lines(all.out) >= 12);
    CHECK(lines(with({"-Y", "mbrtu && modbus.func_code"}).out) == lines(all.out));
    CHECK(with({"-Y", "_ws.malformed || mbrtu.crc16.status == 0"}).out.empty());
  }

  TEST_CASE("tshark reads what was kept of a flood, and how much wasn't") {
    const TcpUnit unit{[](int connection, const host::link::CancelToken& done) {
      const std::vector<std::uint8_t> noise(std::size_t{64} * 1024, 0x55);
      const timeval limit{0, 100'000};
      (void)::setsockopt(connection, SOL_SOCKET, SO_SNDTIMEO, &limit, sizeof limit);
      while (!done.cancelled() && ::send(connection, noise.data(), noise.size(), MSG_NOSIGNAL) > 0) {
      }
    }};
    const TemporaryFolder folder;
    const std::string file = captured(folder, "tcp://127.0.0.1:" + unit.port() + "?own=yes", 69);
    CHECK(std::filesystem::file_size(file) < 1'000'000);
    const Outcome all = analysed(file, {"-T", "fields", "-e", "frame.comment"});
    INFO(all.err);
    CHECK(all.exit_code == 0);
    CHECK(lines(all.out) > 50);
    CHECK(all.out.ends_with(" octets received before this were left out\n"));
    CHECK(analysed(file, {"-Y", "_ws.malformed"}).out.empty());
  }

  TEST_CASE("tshark decodes what a noisy line and its echo left of a verify without a malformed frame") {
    const TemporaryFolder folder;
    Launch simulator;
    simulator.program = program_path("strapline-sim");
    simulator.arguments = {"stop-display",  "--pty",     folder.path() + "/unit",    "--noise",
                           "echo,ber=2e-4", "--catalog", source_path("host/catalog")};
    Running running{simulator};
    REQUIRE(running.wait_for("ready: "));
    const std::string file = captured(folder, "serial:" + folder.path() + "/unit?own=yes");
    const auto with = [&](const std::vector<std::string>& more) {
      std::vector<std::string> all{"-d", "rtacser.data,mbrtu", "-o", "mbrtu.crc_verification:TRUE"};
      all.insert(all.end(), more.begin(), more.end());
      return analysed(file, all);
    };
    const Outcome all = with({});
    INFO(all.err);
    REQUIRE(all.exit_code == 0);
    const std::string sent = "rtacser.eventtype == 1";
    const std::string received = "rtacser.eventtype == 2";
    // The line was bad, and every request came back.
    CHECK(lines(with({"-Y", received + " && mbrtu.crc16.status == 0"}).out) > 0);
    CHECK(lines(with({"-Y", received}).out) > lines(with({"-Y", sent}).out));
    CHECK(with({"-Y", sent + " && mbrtu.crc16.status == 0"}).out.empty());
    CHECK(with({"-Y", "_ws.malformed"}).out == "");
  }

  TEST_CASE("tshark decodes a capture of Modbus/TCP without being told how") {
    const TemporaryFolder folder;
    Launch simulator;
    simulator.program = program_path("strapline-sim");
    simulator.arguments = {"stop-display", "--mbtcp", "127.0.0.1:0", "--catalog",
                           source_path("host/catalog")};
    Running running{simulator};
    REQUIRE(running.wait_for("ready: mbtcp://"));
    const std::string ready = running.err();
    const std::size_t at = ready.find("mbtcp://");
    REQUIRE(at != std::string::npos);
    const std::string file = captured(folder, ready.substr(at, ready.find_first_of(" \n", at) - at));
    const Outcome all = analysed(file, {});
    INFO(all.err);
    REQUIRE(all.exit_code == 0);
    CHECK(lines(all.out) >= 10);
    CHECK(lines(analysed(file, {"-Y", "mbtcp && modbus"}).out) == lines(all.out));
    const std::string trouble =
        "_ws.malformed || tcp.analysis.flags || tcp.checksum.status == 0 || ip.checksum.status == 0";
    CHECK(analysed(file, {"-o", "tcp.check_checksum:TRUE", "-o", "ip.check_checksum:TRUE", "-Y", trouble})
              .out.empty());
    // It follows which answer belongs to which request.
    CHECK(lines(analysed(file, {"-Y", "modbus.request_frame || modbus.exception_code"}).out) ==
          lines(all.out) / 2);
  }
}
