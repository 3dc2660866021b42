#include <filesystem>

#include <doctest/doctest.h>

#include "tests/e2e/strapline.hpp"
#include "tests/support/json_schema.hpp"

using namespace tests::e2e;
using namespace tests::support;

namespace {

void check_shape(const std::string& schema, const std::string& document) {
  for (const auto& complaint : schema_complaints_of_text(file_text(source_path(schema)), document))
    FAIL_CHECK(complaint);
}

// strapline with its standard input from a file.
Outcome run_reading(const std::string& file, const std::vector<std::string>& arguments) {
  Launch launch = strapline(arguments);
  std::vector<std::string> words{"-c", "exec \"$0\" \"$@\" <\"$IN\"", launch.program};
  words.insert(words.end(), launch.arguments.begin(), launch.arguments.end());
  launch.environment["IN"] = file;
  launch.program = "/bin/sh";
  launch.arguments = words;
  return run(launch);
}

std::ptrdiff_t entries_in(const TemporaryFolder& folder) {
  return std::distance(std::filesystem::directory_iterator{folder.path()}, {});
}

int code_of(const std::vector<std::string>& arguments) {
  return run(strapline(arguments)).exit_code;
}

}  // namespace

TEST_SUITE("e2e/paper") {
  TEST_CASE("sheets come in three forms, twice the same, and nothing is printed") {
    const TemporaryFolder folder;
    for (const auto& [ending, start] : std::vector<std::pair<std::string, std::string>>{
             {".html", "<!DOCTYPE html>"}, {".svg", "<?xml version=\"1.0\"?>"}, {".txt", "Build sheet: "}}) {
      CAPTURE(ending);
      const std::string path = folder.path() + "/sheet" + ending;
      const Outcome outcome = run(strapline({"sheet", "stop-display", "-o", path}));
      INFO(outcome.err);
      CHECK(outcome.exit_code == 0);
      CHECK(outcome.out.empty());
      CHECK(outcome.err.empty());
      const std::string first = file_text(path);
      CHECK(first.starts_with(start));
      CHECK(code_of({"sheet", "stop-display", "-o", path}) == 0);
      CHECK(file_text(path) == first);
    }
    CHECK(entries_in(folder) == 3);
  }

  TEST_CASE("a card is a PNG of the panel's raster, and a fault changes it") {
    const TemporaryFolder folder;
    const std::string sound = folder.path() + "/sound.png", wrong = folder.path() + "/wrong.png";
    CHECK(code_of({"card", "cab-display", "-o", sound}) == 0);
    CHECK(code_of({"card", "cab-display", "-o", wrong, "--fault", "mapping=vesa-24"}) == 0);
    const std::string png = file_text(sound);
    REQUIRE(png.size() > 24);
    CHECK(png.starts_with("\x89PNG\r\n\x1a\n"));
    // Width and height follow the header chunk's name, most significant octet first: 1280 x 800.
    CHECK(png.substr(16, 8) == std::string("\0\0\x05\0\0\0\x03\x20", 8));
    CHECK(file_text(wrong).starts_with("\x89PNG"));
    CHECK(file_text(wrong) != png);
    const Outcome unknown = run(strapline({"card", "cab-display", "-o", wrong, "--fault", "mapping=yuv"}));
    CHECK(unknown.exit_code == 64);
    CHECK(holds(unknown.err, "--fault"));
  }

  TEST_CASE("a cable that exchanges two pairs shows in the card, as its colours would on the panel") {
    const TemporaryFolder folder;
    const std::string sound = folder.path() + "/sound.png", wrong = folder.path() + "/wrong.png";
    std::string cable = file_text(source_path("host/catalog/cables/single-lvds-30-250.toml"));
    // A1 and A2 at the far end; the board's end and the names of the twisted pairs stay.
    for (const auto& [from, to] : {std::pair{"board = 8, far = 11", "board = 8, far = 14"},
                                   {"board = 9, far = 12", "board = 9, far = 15"},
                                   {"board = 11, far = 14", "board = 11, far = 11"},
                                   {"board = 12, far = 15", "board = 12, far = 12"}}) {
      const auto at = cable.find(from);
      REQUIRE(at != std::string::npos);
      cable.replace(at, std::string{from}.size(), to);
    }
    const std::string catalogue = folder.path() + "/catalog";
    (void)folder.write("catalog/cables/crossed-lvds.toml", cable);
    std::string kit = file_text(source_path("host/catalog/kits/cab-display.toml"));
    const std::string usual = "single-lvds-30-250";
    kit.replace(kit.find(usual), usual.size(), "crossed-lvds");
    (void)folder.write("catalog/kits/crossed-display.toml", kit);
    CHECK(code_of({"card", "cab-display", "-o", sound}) == 0);
    CHECK(code_of({"--catalog", catalogue, "card", "crossed-display", "-o", wrong}) == 0);
    CHECK(file_text(wrong).starts_with("\x89PNG"));
    CHECK(file_text(wrong) != file_text(sound));

    CHECK(code_of({"check", "cab-display"}) == 0);
    CHECK(code_of({"--catalog", catalogue, "check", "crossed-display"}) == 1);
  }

  TEST_CASE("an EDID that was made shows no fault, says the kit's timing, and is equal to itself alone") {
    const TemporaryFolder folder;
    const std::string bin = folder.path() + "/a.bin", text = folder.path() + "/a.txt",
                      other = folder.path() + "/b.bin";
    CHECK(code_of({"edid", "make", "stop-display", "-o", bin}) == 0);
    CHECK(code_of({"edid", "make", "stop-display", "-o", text}) == 0);
    CHECK(code_of({"edid", "make", "cab-display", "-o", other}) == 0);
    CHECK(file_text(bin).size() == 256);  // HDMI: a base block and a CTA-861 extension
    const Outcome shown = run(strapline({"edid", "show", bin, "--json"}));
    CHECK(shown.exit_code == 0);
    check_shape("host/cli/edid.schema.json", shown.out);
    CHECK(holds(shown.out, "\"148500\""));
    CHECK(run_reading(text, {"edid", "show", "-", "--json"}).out == shown.out);
    const Outcome same = run(strapline({"edid", "diff", bin, text, "--json"}));
    CHECK(same.exit_code == 0);
    check_shape("host/cli/edid-diff.schema.json", same.out);
    const Outcome differs = run(strapline({"edid", "diff", bin, other, "--json"}));
    CHECK(differs.exit_code == 1);
    check_shape("host/cli/edid-diff.schema.json", differs.out);
    CHECK(holds(run(strapline({"edid", "diff", bin, other})).out, "148500"));
  }

  TEST_CASE("a damaged EDID is shown as far as it goes and fails; what is none ends in 65") {
    const TemporaryFolder folder;
    const std::string bin = folder.path() + "/a.bin";
    CHECK(code_of({"edid", "make", "stop-display", "-o", bin}) == 0);
    std::string octets = file_text(bin);
    octets[127] = static_cast<char>(octets[127] + 1);
    const Outcome damaged = run(strapline({"edid", "show", folder.write("damaged.bin", octets), "--json"}));
    CHECK(damaged.exit_code == 1);
    check_shape("host/cli/edid.schema.json", damaged.out);
    CHECK(holds(damaged.out, "\"checksum\""));
    for (const std::string& text : {std::string(), std::string("no hexadecimal"), octets.substr(0, 100)}) {
      const Outcome none = run(strapline({"edid", "show", folder.write("none.bin", text)}));
      CHECK(none.exit_code == 65);
      CHECK(none.out.empty());
      CHECK(holds(none.err, "none.bin"));
    }
    CHECK(code_of({"edid", "show", folder.path() + "/nothing.bin"}) == 66);
    CHECK(code_of({"edid", "show", folder.path()}) == 65);
    CHECK(run_reading("/dev/zero", {"edid", "show", "-"}).exit_code == 65);
  }

  TEST_CASE("an EDID with a damaged first octet is no text, and its error speaks of EDIDs") {
    const TemporaryFolder folder;
    const std::string bin = folder.path() + "/a.bin";
    CHECK(code_of({"edid", "make", "stop-display", "-o", bin}) == 0);
    std::string octets = file_text(bin);
    octets[0] = 'A';
    const Outcome damaged = run(strapline({"edid", "show", folder.write("damaged.bin", octets)}));
    CHECK(damaged.exit_code == 65);
    CHECK(holds(damaged.err, "41h in the header; right would be 00h"));
    const Outcome none = run(strapline({"edid", "show", folder.path()}));
    CHECK(holds(none.err, "name an EDID"));
    CHECK_FALSE(holds(none.err, ".toml"));
  }

  TEST_CASE("check judges the EDID it is handed in the place of the board's own") {
    const TemporaryFolder folder;
    const std::string right = folder.path() + "/right.bin";
    const std::string other = folder.path() + "/other.txt";
    CHECK(code_of({"edid", "make", "ticket-machine", "-o", right}) == 0);
    CHECK(code_of({"edid", "make", "stop-display", "-o", other}) == 0);
    CHECK(code_of({"check", "ticket-machine", "--edid", right}) == 0);
    const Outcome differs = run(strapline({"check", "ticket-machine", "--edid", other, "--json"}));
    CHECK(differs.exit_code == 1);
    check_shape("host/expect/check.schema.json", differs.out);
    CHECK(holds(differs.out, "\"edid\": \"given\""));
    CHECK(holds(differs.out, "\"edid-timing-differs\""));
    std::string octets = file_text(right);
    octets[40] = static_cast<char>(octets[40] + 1);
    const Outcome damaged =
        run(strapline({"check", "ticket-machine", "--edid", folder.write("d.bin", octets)}));
    CHECK(damaged.exit_code == 1);
    CHECK(holds(damaged.out, "edid-damaged"));
    CHECK(code_of({"check", "ticket-machine", "--edid", folder.path() + "/none.bin"}) == 66);
  }

  // VESA DMT 52h: 1920 x 1080 at 60 Hz, 148.5 MHz, 2200 x 1125 (DMT 1.0 rev 13, page 75).
  TEST_CASE("a timing is made from its name and found again by its measures") {
    const Outcome made = run(strapline({"timing", "make", "dmt 52h", "--json"}));
    CHECK(made.exit_code == 0);
    check_shape("host/cli/timing.schema.json", made.out);
    for (const char* part : {"\"pixel_clock_hz\": 148500000", "\"h_total\": 2200", "\"v_total\": 1125",
                             "\"line_rate_hz\": 67500", "\"refresh_millihz\": 60000"})
      CHECK(holds(made.out, part));
    const Outcome found = run(strapline({"timing", "identify", "--h-khz", "67.5", "--v-hz", "60", "--h-total",
                                         "2200", "--v-total", "1125", "--json"}));
    CHECK(found.exit_code == 0);
    check_shape("host/cli/timing-identify.schema.json", found.out);
    CHECK(holds(found.out, "\"dmt 52h\""));
    CHECK(holds(run(strapline({"timing", "make", "dmt 52h"})).out, "2200"));
    CHECK(holds(run(strapline({"timing", "identify", "--h-khz", "67.5", "--v-hz", "60"})).out, "dmt 52h"));
    CHECK(code_of({"timing", "identify", "--h-khz", "3", "--v-hz", "1"}) == 1);
  }

  TEST_CASE("what can't be understood is refused before anything is written") {
    const TemporaryFolder folder;
    const std::string path = folder.path() + "/x";
    for (const auto& words : std::vector<std::vector<std::string>>{
             {"sheet", "stop-display", "-o", path + ".pdf"},
             {"sheet", "stop-display"},
             {"card", "stop-display", "-o", path + ".jpg"},
             {"edid", "make", "stop-display", "-o", path + ".edid"},
             {"edid", "make", "stop-display", "-o", path + ".bin", "--maker", "abc"},
             {"edid", "make", "stop-display", "-o", path + ".bin", "--year", "1999"},
             {"edid", "diff", "-", "-"},
             {"timing", "make", "dmt 999h"},
             {"timing", "identify"},
             {"timing", "identify", "--h-khz", "fast"},
             {"timing", "identify", "--h-khz", "-60"},
             {"timing", "identify", "--v-total", "0"},
             {"timing", "identify", "--v-hz", "60", "--h-polarity", "up"},
             {"timing"},
             {"edid", "shwo", "x"}}) {
      const Outcome outcome = run(strapline(words));
      CAPTURE(words.back());
      CHECK(outcome.exit_code == 64);
      CHECK(outcome.out.empty());
      CHECK(outcome.err.starts_with("strapline: "));
    }
    CHECK(entries_in(folder) == 0);
  }

  TEST_CASE(
      "a file that can't be made ends in 73, an unknown kit in 66, and neither leaves anything behind") {
    const TemporaryFolder folder;
    for (const auto& words : std::vector<std::vector<std::string>>{
             {"sheet", "stop-display", "-o", folder.path() + "/none/x.html"},
             {"card", "cab-display", "-o", folder.path() + "/none/x.png"},
             {"edid", "make", "stop-display", "-o", folder.path() + "/none/x.bin"}}) {
      CHECK(code_of(words) == 73);
      auto unknown = words;
      unknown[words.size() - 3] = "stop-dispaly";
      unknown.back() = folder.path() + "/x" + words.back().substr(words.back().rfind('.'));
      const Outcome outcome = run(strapline(unknown));
      CHECK(outcome.exit_code == 66);
      CHECK(holds(outcome.err, "stop-display"));
    }
    CHECK(entries_in(folder) == 0);
  }

  TEST_CASE("commands that share a word have a help of their own") {
    const Outcome group = run(strapline({"edid", "--help"}));
    CHECK(group.exit_code == 0);
    for (const char* part : {"edid show FILE", "edid make KIT", "edid diff A B"})
      CHECK(holds(group.out, part));
    const Outcome one = run(strapline({"edid", "diff", "--help"}));
    CHECK(one.exit_code == 0);
    CHECK(holds(one.out, "usage: strapline [GLOBAL OPTION]... edid diff A B"));
  }
}
