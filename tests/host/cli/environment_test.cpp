#include "host/cli/environment.hpp"

#include <filesystem>

#include <doctest/doctest.h>

#include "tests/support/run_program.hpp"

using namespace host::cli;

TEST_SUITE("host/cli/environment") {
  TEST_CASE("colour is for terminals, unless somebody wishes otherwise") {
    Environment environment;
    CHECK_FALSE(text_style(ColourWish::kAuto, environment).colour);
    CHECK(text_style(ColourWish::kAlways, environment).colour);
    environment.stdout_is_terminal = true;
    environment.term = "xterm";
    CHECK(text_style(ColourWish::kAuto, environment).colour);
    CHECK_FALSE(text_style(ColourWish::kNever, environment).colour);
    environment.term = "dumb";
    CHECK_FALSE(text_style(ColourWish::kAuto, environment).colour);
    environment.term = "xterm";
    environment.no_color = "1";
    CHECK_FALSE(text_style(ColourWish::kAuto, environment).colour);
    CHECK(text_style(ColourWish::kAlways, environment).colour);
  }

  TEST_CASE("drawings are 7-bit unless the locale is UTF-8, LC_ALL before LC_CTYPE before LANG") {
    const auto ascii = [](const char* lc_all, const char* lc_ctype, const char* lang) {
      Environment environment;
      environment.lc_all = lc_all;
      environment.lc_ctype = lc_ctype;
      environment.lang = lang;
      return text_style(ColourWish::kAuto, environment).ascii;
    };
    CHECK(ascii("", "", ""));
    CHECK(ascii("C", "", "en_GB.UTF-8"));
    CHECK(ascii("", "POSIX", "de_DE.utf8"));
    CHECK_FALSE(ascii("", "", "de_DE.UTF-8"));
    CHECK_FALSE(ascii("C.utf8", "C", "C"));
    CHECK_FALSE(ascii("", "en_GB.UTF-8", "C"));
  }

  TEST_CASE("text is as wide as the terminal, within what can be read; 80 columns where nobody tells") {
    Environment environment;
    CHECK(text_style(ColourWish::kAuto, environment).width == 80);
    for (const auto& [columns, width] : {std::pair{100, 100}, {39, 40}, {40, 40}, {120, 120}, {300, 120}}) {
      CAPTURE(columns);
      environment.stdout_columns = columns;
      CHECK(text_style(ColourWish::kAuto, environment).width == width);
    }
  }

  TEST_CASE("the catalogue is sought from the nearest folder to the furthest, and only where there is one") {
    const tests::support::TemporaryFolder folder;
    const std::string root = folder.path();
    for (const char* place : {"user", "one", "two", "prefix/share"}) {
      (void)folder.write(std::string{place} + "/strapline/catalog/kits/k.toml", "");
    }
    std::filesystem::create_directories(root + "/prefix/bin");
    Environment environment;
    environment.xdg_data_home = root + "/user";
    environment.xdg_data_dirs = root + "/one:" + root + "/none::" + root + "/two:relative";
    environment.program_folder = root + "/prefix/bin";
    auto folders = catalogue_folders({"given"}, environment);
    REQUIRE(folders.size() >= 5);
    folders.resize(5);  // in a development build the source tree's follows
    CHECK(folders == std::vector<std::string>{
                         "given", root + "/user/strapline/catalog", root + "/one/strapline/catalog",
                         root + "/two/strapline/catalog", root + "/prefix/share/strapline/catalog"});
  }
}
