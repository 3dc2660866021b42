#include "tests/e2e/stand.hpp"

#include <set>

#include <doctest/doctest.h>
#include <sys/syscall.h>

#include "tests/e2e/strapline.hpp"

namespace tests::e2e {

using support::Launch;

namespace {

#ifdef SYS_poll
constexpr long kPoll = SYS_poll;
#else
constexpr long kPoll = -1;  // calls aren't watched there
#endif

constexpr const char* kWrongStrap = "BR1=2-3";

Launch simulator(Built built, const std::string& folder) {
  const std::string lanes = std::to_string(kLanes);
  Launch launch;
  launch.program = support::program_path("strapline-sim");
  launch.arguments = {"ticket-machine", "--catalog", support::source_path("host/catalog"), "--mbtcp", "0",
                      "--units",        lanes};
  if (built == Built::kWrong) launch.arguments.insert(launch.arguments.end(), {"--straps", kWrongStrap});
  for (std::size_t lane = 1; lane <= kLanes; ++lane) {
    launch.arguments.insert(launch.arguments.end(), {"--pty", folder + "/unit" + std::to_string(lane)});
  }
  launch.time_limit = std::chrono::minutes{2};
  return launch;
}

}  // namespace

Stand::Stand(Built built) : built_{built}, running_{simulator(built, folder_.path())} {
  const std::string told = "ready: mbtcp://";
  REQUIRE(running_.wait_for(told));
  tcp_ = running_.err().substr(running_.err().find(told) + 7);
  tcp_ = tcp_.substr(0, tcp_.find('\n'));
}

Launch Stand::verify(Way way, std::size_t lane) const {
  const std::string number = std::to_string(lane + 1);
  std::string link = "sim:ticket-machine";
  if (built_ == Built::kWrong) link += std::string{"?straps="} + kWrongStrap;
  if (way == Way::kSerial) link = "serial:" + folder_.path() + "/unit" + number + "?own=yes";
  if (way == Way::kTcp) link = tcp_;
  Launch launch = strapline({"verify", "ticket-machine", "--link", link, "--timeout", "2s", "--address",
                             way == Way::kTcp ? number : "1"});
  launch.environment["TMPDIR"] = folder_.path();
  launch.time_limit = std::chrono::seconds{10};
  return launch;
}

bool waits_on(const std::vector<Call>& calls, std::size_t at) {
  const std::set<long> looks{SYS_newfstatat, SYS_wait4, kPoll};
  const auto code = [&](std::size_t back) { return calls[at - back].code; };
  return at >= 6 && looks.contains(code(0)) && code(0) == code(3) && code(0) == code(6) &&
         code(0) != code(1) && code(0) != code(2);
}

}  // namespace tests::e2e
