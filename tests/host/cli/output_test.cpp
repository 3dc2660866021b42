#include "host/cli/output.hpp"

#include <filesystem>

#include <doctest/doctest.h>
#include <unistd.h>

#include "tests/support/run_program.hpp"

using namespace host::cli;
using tests::support::file_text;
using tests::support::TemporaryFolder;

namespace {

std::ptrdiff_t entries_in(const std::string& folder) {
  return std::distance(std::filesystem::directory_iterator{folder}, {});
}

}  // namespace

TEST_SUITE("host/cli/output") {
  TEST_CASE("a file appears whole and takes the place of the one before") {
    const TemporaryFolder folder;
    const std::string path = folder.write("r.json", "old");
    auto file = PendingFile::create(path);
    REQUIRE(file.has_value());
    CHECK(file_text(path) == "old");
    REQUIRE(file->commit("new\n").has_value());
    CHECK(file_text(path) == "new\n");
    CHECK(entries_in(folder.path()) == 1);
  }

  TEST_CASE("a file that is never committed leaves nothing behind") {
    const TemporaryFolder folder;
    {
      CHECK(PendingFile::create(folder.path() + "/r.txt").has_value());
    }
    CHECK(entries_in(folder.path()) == 0);
  }

  TEST_CASE("what can't be created is said before any work") {
    const TemporaryFolder folder;
    const auto file = PendingFile::create(folder.path() + "/none/r.txt");
    REQUIRE_FALSE(file.has_value());
    CHECK(file.error().code == ExitCode::kCantCreate);
    CHECK(file.error().messages.front() ==
          "can't create " + folder.path() + "/none/r.txt: No such file or directory");
  }

  TEST_CASE("a folder can't be replaced by a file") {
    const TemporaryFolder folder;
    (void)folder.write("r.txt/inside", "");
    auto file = PendingFile::create(folder.path() + "/r.txt");
    REQUIRE(file.has_value());
    const auto done = file->commit("x");
    REQUIRE_FALSE(done.has_value());
    CHECK(done.error().code == ExitCode::kCantCreate);
  }
}
