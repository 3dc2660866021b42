#include "sim/port/state_file.hpp"

#include <csignal>
#include <filesystem>
#include <fstream>

#include <doctest/doctest.h>
#include <sys/wait.h>
#include <unistd.h>

#include "tests/support/run_program.hpp"

using sim::port::crc32;
using sim::port::StateFile;
using tests::support::file_text;
using tests::support::TemporaryFolder;

namespace {

// A memory whose every octet tells which save it is of.
std::string memory(int n) {
  std::string text = std::to_string(n) + "\n";
  text.resize(4'000 + static_cast<std::size_t>(n % 7) * 500, static_cast<char>('a' + n % 26));
  return text;
}

void put(const std::string& path, const std::string& text) {
  std::ofstream{path, std::ios::binary} << text;
}

}  // namespace

TEST_SUITE("sim/port/state_file") {
  TEST_CASE("the checksum is CRC-32 of ISO 8802-3") {
    CHECK(crc32("123456789") == 0xCBF43926);  // the standard check value of this CRC
  }

  TEST_CASE("what was saved last is read back, and counted on") {
    const TemporaryFolder folder;
    const std::string path = folder.path() + "/state";
    StateFile first{path};
    CHECK_FALSE(first.load()->octets);
    CHECK_FALSE(first.load()->damaged);
    REQUIRE(first.save("one"));
    REQUIRE(first.save(std::string{"t\0o\n", 4}));
    StateFile second{path};
    CHECK(second.load()->octets == std::string{"t\0o\n", 4});
    CHECK(second.generation() == 2);
    CHECK_FALSE(second.save(std::string(StateFile::kSizeMax + 1, 'x')));
    CHECK(StateFile{path}.load()->octets == std::string{"t\0o\n", 4});
  }

  TEST_CASE("any octet changed and any cut is noticed, and the time before is taken") {
    const TemporaryFolder folder;
    const std::string path = folder.path() + "/state";
    {
      StateFile file{path};
      REQUIRE(file.save("the first"));
      REQUIRE(file.save("the second"));
    }
    const std::string good = file_text(path);
    for (std::size_t i = 0; i < good.size(); ++i) {
      CAPTURE(i);
      for (const int bit : {1, 0x80}) {
        std::string bad = good;
        bad[i] = static_cast<char>(bad[i] ^ bit);
        put(path, bad);
        const auto loaded = StateFile{path}.load();
        REQUIRE(loaded);
        CHECK(loaded->damaged);
        CHECK(loaded->octets == "the first");
      }
      put(path, good.substr(0, i));
      CHECK(StateFile{path}.load()->octets == "the first");
    }
    std::filesystem::remove(path + ".old");
    put(path, good + "x");
    CHECK_FALSE(StateFile{path}.load()->octets);
    CHECK(StateFile{path}.load()->damaged);
    put(path, std::string(3'000'000, 'x'));
    CHECK(StateFile{path}.load()->damaged);
  }

  TEST_CASE("a file between its names is found") {
    const TemporaryFolder folder;
    const std::string path = folder.path() + "/state";
    StateFile file{path};
    REQUIRE(file.save("one"));
    REQUIRE(file.save("two"));
    std::filesystem::rename(path, path + ".new");  // a kill between the two moves
    const auto loaded = StateFile{path}.load();
    CHECK(loaded->octets == "two");
    CHECK_FALSE(loaded->damaged);
  }

  TEST_CASE(
      "killed at any instant, the file holds a save that was whole, and never one older than the last "
      "but one") {
    const TemporaryFolder folder;
    const std::string path = folder.path() + "/state";
    int last = 0;
    for (int kill = 0; kill < 60; ++kill) {
      CAPTURE(kill);
      int told[2];
      REQUIRE(::pipe(told) == 0);
      const pid_t child = ::fork();
      REQUIRE(child >= 0);
      if (child == 0) {
        StateFile file{path};
        (void)file.load();
        for (int n = last + 1;; ++n) {
          if (!file.save(memory(n))) ::_exit(1);
          if (::write(told[1], &n, sizeof n) != sizeof n) ::_exit(1);
        }
      }
      ::close(told[1]);
      for (int i = 0; i <= kill % 5; ++i) REQUIRE(::read(told[0], &last, sizeof last) == sizeof last);
      ::usleep(static_cast<useconds_t>(kill * 37 % 400));
      REQUIRE(::kill(child, SIGKILL) == 0);
      ::waitpid(child, nullptr, 0);
      for (int n = 0; ::read(told[0], &n, sizeof n) == sizeof n;) last = n;
      ::close(told[0]);
      const auto loaded = StateFile{path}.load();
      REQUIRE(loaded);
      REQUIRE(loaded->octets);
      CHECK_FALSE(loaded->damaged);
      // The save that was told last, or one more that was done and not told.
      const int found = std::stoi(*loaded->octets);
      CHECK(loaded->octets == memory(found));
      CHECK(found >= last);
      CHECK(found <= last + 1);
      last = found;
    }
  }
}
