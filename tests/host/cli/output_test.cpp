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
          "can't create " + folder.path() +
              "/none/r.txt: No such file or directory; make its folder first, or name another place");
  }

  TEST_CASE("a folder can't be replaced by a file") {
    const TemporaryFolder folder;
    (void)folder.write("r.txt/inside", "");
    const auto file = PendingFile::create(folder.path() + "/r.txt");
    REQUIRE_FALSE(file.has_value());
    CHECK(file.error().code == ExitCode::kCantCreate);
    CHECK(file.error().messages.front().ends_with("Is a directory; name a file in it"));
  }

  // A device or a pipe would be lost for everybody else who uses it.
  TEST_CASE("what is no ordinary file is not replaced, at the end of a link neither") {
    const TemporaryFolder folder;
    std::filesystem::create_symlink("/dev/null", folder.path() + "/r.txt");
    const auto file = PendingFile::create(folder.path() + "/r.txt");
    REQUIRE_FALSE(file.has_value());
    CHECK(file.error().messages.front().ends_with("not an ordinary file; name another place"));
    CHECK(entries_in(folder.path()) == 1);
  }

  // The file used to come back with the mode of a new one.
  TEST_CASE("the new file may be read by whom the old one could be read by") {
    const TemporaryFolder folder;
    const std::string path = folder.write("r.json", "old");
    using std::filesystem::perms;
    const perms wanted = perms::owner_read | perms::owner_write | perms::group_write | perms::others_exec;
    std::filesystem::permissions(path, wanted);
    REQUIRE(PendingFile::create(path)->commit("new").has_value());
    CHECK(std::filesystem::status(path).permissions() == wanted);
    CHECK(file_text(path) == "new");
  }

  // The link used to be replaced, and whoever read the file it led to got the old one.
  TEST_CASE("a link stays, and the file it leads to is replaced, whether it is there yet or not") {
    const TemporaryFolder folder;
    (void)folder.write("far/there.json", "old");
    std::filesystem::create_symlink("far/there.json", folder.path() + "/a.json");
    std::filesystem::create_symlink(folder.path() + "/a.json", folder.path() + "/b.json");
    REQUIRE(PendingFile::create(folder.path() + "/b.json")->commit("new").has_value());
    CHECK(std::filesystem::is_symlink(folder.path() + "/b.json"));
    CHECK(std::filesystem::is_symlink(folder.path() + "/a.json"));
    CHECK(file_text(folder.path() + "/far/there.json") == "new");
    std::filesystem::create_symlink("far/later.json", folder.path() + "/c.json");
    REQUIRE(PendingFile::create(folder.path() + "/c.json")->commit("new").has_value());
    CHECK(std::filesystem::is_symlink(folder.path() + "/c.json"));
    CHECK(file_text(folder.path() + "/far/later.json") == "new");
    CHECK(entries_in(folder.path() + "/far") == 2);
    std::filesystem::create_symlink("loop.json", folder.path() + "/loop.json");
    CHECK_FALSE(PendingFile::create(folder.path() + "/loop.json").has_value());
  }
}
