#include <array>
#include <chrono>
#include <filesystem>
#include <thread>

#include <doctest/doctest.h>
#include <netinet/in.h>
#include <sys/file.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <unistd.h>

#include "tests/e2e/pty.hpp"
#include "tests/e2e/shape.hpp"
#include "tests/e2e/strapline.hpp"

using namespace tests::e2e;
using tests::support::Launch;
using tests::support::Outcome;
using tests::support::run;
using tests::support::source_path;
using tests::support::TemporaryFolder;

namespace {

Launch verify(const std::string& link, const std::vector<std::string>& more = {}) {
  std::vector<std::string> words{"verify", "ticket-machine", "--link", link};
  words.insert(words.end(), more.begin(), more.end());
  return strapline(words);
}

/// The same as a user without rights: another user where we are root, ourselves otherwise.
Launch without_rights(Launch launch, const TemporaryFolder& folder) {
  if (geteuid() != 0) return launch;
  std::filesystem::permissions(folder.path(), std::filesystem::perms{0755});
  std::filesystem::copy_file(launch.program, folder.path() + "/strapline");
  std::filesystem::copy(source_path("host/catalog"), folder.path() + "/catalog",
                        std::filesystem::copy_options::recursive);
  launch.program = "setpriv";
  launch.arguments[1] = folder.path() + "/catalog";
  launch.arguments.insert(launch.arguments.begin(),
                          {"--reuid=65534", "--regid=65534", "--clear-groups", folder.path() + "/strapline"});
  return launch;
}

/// A server on loopback that takes every connection and closes it.
class HangingUp {
 public:
  HangingUp() : listener_{socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)} {
    sockaddr_in address{};
    address.sin_family = AF_INET;
    address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
    socklen_t size = sizeof address;
    auto* const any = reinterpret_cast<sockaddr*>(&address);
    REQUIRE(bind(listener_, any, size) == 0);
    REQUIRE(listen(listener_, 4) == 0);
    REQUIRE(getsockname(listener_, any, &size) == 0);
    port_ = ntohs(address.sin_port);
    server_ = std::thread{[this] {
      for (int taken = 0; (taken = accept(listener_, nullptr, nullptr)) >= 0;) close(taken);
    }};
  }
  ~HangingUp() {
    shutdown(listener_, SHUT_RDWR);
    server_.join();
    close(listener_);
  }
  HangingUp(const HangingUp&) = delete;
  HangingUp& operator=(const HangingUp&) = delete;

  [[nodiscard]] int port() const { return port_; }

 private:
  int listener_;
  int port_ = 0;
  std::thread server_;
};

}  // namespace

TEST_SUITE("e2e/bad_port") {
  TEST_CASE("a port that isn't there ends in 66 and says what is there") {
    const Outcome outcome = run(verify("/dev/ttyNONE7"));
    INFO(outcome.err);
    CHECK(outcome.exit_code == 66);
    CHECK(outcome.out.empty());
    CHECK(holds(outcome.err, "/dev/ttyNONE7"));
    // On a machine that has ports it names them, on one that has none it says so.
    const bool named = holds(outcome.err, "there is /dev/") || holds(outcome.err, "there are /dev/");
    CHECK(named != holds(outcome.err, "this machine shows no serial port at all"));
    CHECK(holds(outcome.err, "plug the adapter in or name one that is there"));
  }

  TEST_CASE("a link that can't be read ends in 64") {
    for (const char* link : {"", "ttyUSB0", "serial:", "serial:/dev/ttyS0?baud=0",
                             "serial:/dev/ttyS0?bud=9600", "sim:", "http://x"}) {
      CAPTURE(link);
      CHECK(run(verify(link)).exit_code == 64);
    }
  }

  TEST_CASE("a port without rights ends in 77 and names the group") {
    const Pty pty;
    const TemporaryFolder folder;
    chmod(pty.path().c_str(), geteuid() == 0 ? 0620 : 0000);
    const Outcome outcome = run(without_rights(verify(pty.link()), folder));
    INFO(outcome.err);
    CHECK(outcome.exit_code == 77);
    CHECK(holds(outcome.err, "group"));
  }

  TEST_CASE("a busy port ends in 74 and names who has it") {
    const Pty pty;
    REQUIRE(flock(pty.near_end(), LOCK_EX | LOCK_NB) == 0);
    const Outcome outcome = run(verify(pty.link()));
    INFO(outcome.err);
    CHECK(outcome.exit_code == 74);
    CHECK(outcome.out.empty());
    CHECK(holds(outcome.err, std::to_string(getpid())));
  }

  TEST_CASE("a silent unit ends in 69 before the deadline, with a document that says incomplete") {
    const Pty pty;
    const std::vector<unsigned char> before = settings_of(pty.near_end());
    const Outcome outcome = run(verify(pty.link(), {"--timeout", "2s", "--json"}));
    INFO(outcome.err);
    CHECK(outcome.exit_code == 69);
    CHECK(outcome.elapsed.count() < 3000);
    CHECK(holds(outcome.out, "\"verdict\": \"incomplete\""));
    check_shape("host/verify/verify.schema.json", outcome.out);
    CHECK_FALSE(outcome.err.empty());
    CHECK(settings_of(pty.near_end()) == before);

    const Outcome text = run(verify(pty.link(), {"--timeout", "2s"}));
    CHECK(text.exit_code == 69);
    CHECK(holds(text.out, "\nverdict  INCOMPLETE\n"));
  }

  TEST_CASE("a line that somebody else talks on ends in 74 with nothing said, and its trace tells the same") {
    const Pty pty;
    const TemporaryFolder folder;
    const std::string trace = folder.path() + "/run.pcapng";
    std::thread other{[&] {
      // 07 asks for two registers; SL V1.02 gives its CRC.
      constexpr std::array<unsigned char, 8> kRequest{0x07, 0x03, 0x00, 0x00, 0x00, 0x02, 0xC4, 0x6D};
      std::this_thread::sleep_for(std::chrono::milliseconds{300});
      (void)!write(pty.far_end(), kRequest.data(), kRequest.size());
    }};
    const Outcome live = run(verify("serial:" + pty.path(), {"--trace", trace}));
    other.join();
    INFO(live.err);
    CHECK(live.exit_code == 74);
    CHECK(holds(live.err, "a request to unit 7, function 03"));
    const Outcome replayed = run(verify("trace:" + trace));
    INFO(replayed.err);
    CHECK(replayed.exit_code == 74);
    CHECK(holds(replayed.err, "a request to unit 7, function 03"));
  }

  TEST_CASE("a server that hangs up ends in 74 at once, with a document that says incomplete") {
    const HangingUp server;
    const Outcome outcome = run(verify("tcp://127.0.0.1:" + std::to_string(server.port()), {"--json"}));
    INFO(outcome.err);
    CHECK(outcome.exit_code == 74);
    CHECK(holds(outcome.out, "\"verdict\": \"incomplete\""));
    check_shape("host/verify/verify.schema.json", outcome.out);
    CHECK(holds(outcome.err, "went away"));
  }

  TEST_CASE("a port listened to first keeps the deadline as well") {
    const Pty pty;
    const Outcome outcome = run(verify("serial:" + pty.path(), {"--timeout", "1500ms"}));
    CHECK(outcome.exit_code == 69);
    CHECK(outcome.elapsed.count() < 2500);
  }
}
