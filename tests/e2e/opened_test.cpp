// What a command opens.
#include <doctest/doctest.h>

#include "tests/e2e/strapline.hpp"
#include "tests/support/skip.hpp"

using namespace tests::e2e;
using tests::support::Launch;
using tests::support::Outcome;
using tests::support::run;

TEST_SUITE("e2e/ports") {
  TEST_CASE("ports opens no device") {
    Launch launch = strapline({"ports"});
    const bool is_there = run({"sh", {"-c", "command -v strace"}}).exit_code == 0;
    launch.arguments.insert(launch.arguments.begin(),
                            {"-f", "-qq", "-e", "trace=open,openat,openat2,creat", launch.program});
    launch.program = "strace";
    const Outcome outcome = is_there ? run(launch) : Outcome{};
    if (!holds(outcome.err, "openat")) {
      tests::support::skip("there is no strace here, or it can't watch system calls");
      return;
    }
    CHECK(holds(outcome.err, "/sys/class/tty"));  // it did look
    CHECK_FALSE(holds(outcome.err, "\"/dev/tty"));
    CHECK_FALSE(holds(outcome.err, "\"/dev/pts"));
  }
}
