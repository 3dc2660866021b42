#include "sim/port/pseudo_terminal.hpp"

#include <array>
#include <filesystem>
#include <string>

#include <doctest/doctest.h>
#include <pty.h>
#include <unistd.h>

#include "tests/support/run_program.hpp"

namespace {

namespace fs = std::filesystem;
using sim::port::PseudoTerminal;

// A terminal that is nobody's of the simulator.
class Terminal {
 public:
  Terminal() {
    std::array<char, 128> name{};
    REQUIRE(::openpty(&near_, &far_, name.data(), nullptr, nullptr) == 0);
    name_ = name.data();
  }
  ~Terminal() {
    ::close(near_);
    ::close(far_);
  }
  Terminal(const Terminal&) = delete;
  Terminal& operator=(const Terminal&) = delete;
  [[nodiscard]] const std::string& name() const { return name_; }

 private:
  int near_ = -1, far_ = -1;
  std::string name_;
};

void pass_a_tick() {
  ::usleep(20'000);  // file times go by the kernel's tick, at most 10 ms
}

}  // namespace

TEST_SUITE("sim/port/pseudo_terminal") {
  TEST_CASE("a link whose number was given to another terminal since is replaced") {
    const tests::support::TemporaryFolder folder;
    const std::string link = folder.path() + "/unit";
    std::string gone;
    {
      const Terminal killed;
      gone = killed.name();
      fs::create_symlink(gone, link);
    }
    pass_a_tick();
    const Terminal stranger;  // takes the lowest free number: this one, unless another process has it now
    const auto made = PseudoTerminal::make(link);
    REQUIRE(made.has_value());
    CHECK(fs::read_symlink(link) != gone);
    CHECK(fs::exists(link));
  }

  TEST_CASE("a link to a terminal that was there before it is somebody's, and left alone") {
    const tests::support::TemporaryFolder folder;
    const std::string link = folder.path() + "/unit";
    const Terminal somebody;
    pass_a_tick();
    fs::create_symlink(somebody.name(), link);
    const auto made = PseudoTerminal::make(link);
    REQUIRE_FALSE(made.has_value());
    CHECK(made.error().find("is there already") != std::string::npos);
    CHECK(fs::read_symlink(link) == somebody.name());
  }
}
