#include <array>
#include <filesystem>
#include <string>

#include <doctest/doctest.h>

#include "tests/e2e/strapline.hpp"
#include "tests/support/json_schema.hpp"

using namespace tests::e2e;
using namespace tests::support;

namespace {

namespace fs = std::filesystem;

/// A folder of a user's own, with copies of shipped files under other names.
class OwnCatalogue {
 public:
  [[nodiscard]] std::string path() const { return folder_.path() + "/own"; }

  void copy(const std::string& from, const std::string& to) const { write(to, shipped(from)); }
  void copy(const std::string& from, const std::string& to, const std::string& was,
            const std::string& now) const {
    std::string text = shipped(from);
    const std::size_t at = text.find(was);
    REQUIRE(at != std::string::npos);
    write(to, text.replace(at, was.size(), now));
  }
  void write(const std::string& file, const std::string& text) const {
    fs::create_directories(fs::path(path() + "/" + file).parent_path());
    static_cast<void>(folder_.write("own/" + file, text));
  }

 private:
  static std::string shipped(const std::string& file) {
    return file_text(source_path("host/catalog/" + file));
  }
  TemporaryFolder folder_;
};

Outcome check(const std::string& folder, const std::vector<std::string>& more = {}) {
  std::vector<std::string> words = {"catalog", "check", folder};
  words.insert(words.end(), more.begin(), more.end());
  return run(strapline(words));
}

std::size_t errors_in(const std::string& text) {
  const std::size_t at = text.rfind("): ");
  return at == std::string::npos ? 0 : std::stoul(text.substr(at + 3));
}

void check_shape(const std::string& document) {
  const std::string schema = file_text(source_path("host/cli/catalog-check.schema.json"));
  for (const auto& complaint : schema_complaints_of_text(schema, document)) FAIL_CHECK(complaint);
}

}  // namespace

TEST_SUITE("e2e/catalog") {
  TEST_CASE("what ships has no error and no warning") {
    const Outcome outcome = check(source_path("host/catalog"));
    CHECK(outcome.exit_code == 0);
    CHECK(outcome.err.empty());
    CHECK(holds(outcome.out, "): 0 errors, 0 warnings.\n"));
    CHECK(holds(outcome.out, "panels 15, boards 7"));
  }

  TEST_CASE("twelve defects over all kinds of files are all named in one run, each at its place") {
    const OwnCatalogue own;
    own.copy("panels/slate.toml", "panels/bar.toml", "voltage = \"12 V ±10 %\"", "voltage = \"12 A ±10 %\"");
    own.copy("panels/onyx.toml", "panels/slim.toml", "replaces = \"2\"", "replaces = \"thick\"");
    own.copy("panels/basalt.toml", "panels/Basalt-2.toml");
    own.copy("panels/basalt.toml", "panels/basalt-2.toml");
    own.copy("panels/flint.toml", "panels/wide view.toml");
    own.copy("boards/alder.toml", "boards/elder.toml", "index = 1\n", "index = 0\n");
    own.copy("boards/maple.toml", "boards/acer.toml", "address = 43", "address = 42");
    own.copy("cables/light-6-300.toml", "cables/light-6-999.toml", "far = 2, ", "far = 0, ");
    own.write("supplies/none.toml", "title = \"never closed\n");
    own.copy("keypads/five-key.toml", "keypads/nine-key.toml", "keys = 5", "keys = 99");
    own.copy("kits/stop-display.toml", "kits/first.toml", "replaces = \"2\"", "replaces = \"second\"");
    own.copy("kits/stop-display.toml", "kits/second.toml", "replaces = \"2\"", "replaces = \"first\"");
    own.copy("kits/stop-display.toml", "kits/third.toml", "panel = \"slate\"", "panel = \"bar\"");
    own.copy("kits/stop-display.toml", "kits/fourth.toml", "W2 = \"light-14-450\"", "W2 = \"light-14-999\"");
    own.copy("kits/cab-display.toml", "kits/fifth.toml", "input = \"hdmi-1\"", "input = \"hdmi-7\"");

    const Outcome outcome = check(own.path());
    INFO(outcome.out);
    CHECK(outcome.exit_code == 65);
    CHECK(outcome.err.empty());
    const std::array<std::array<const char*, 2>, 12> wanted = {{
        {"panels/bar.toml:31:11: ", "'voltage' expects a voltage such as '5 V ±5 %', got '12 A ±10 %'"},
        {"panels/slim.toml:6:12: ", "there is no panel 'thick' to replace"},
        {"panels/basalt-2.toml: ", "has the id of Basalt-2.toml but for its case"},
        {"panels/wide view.toml: ", "has a name that no kit can use"},
        {"boards/elder.toml:", "0 is taken by BR2"},
        {"boards/acer.toml:", "42 is taken by backlight.pwm_frequency_hz"},
        {"cables/light-6-999.toml:", "from 1 to 200"},
        {"supplies/none.toml:1:", "not TOML"},
        {"keypads/nine-key.toml:", "from 1 to 16, got 99"},
        {"kits/first.toml:6:12: ", "leads in a circle: first replaces second replaces first"},
        {"kits/fourth.toml:", "there is no cable 'light-14-999'"},
        {"kits/fifth.toml:", "board birch has no input 'hdmi-7'"},
    }};
    for (const auto& [place, what] : wanted) {
      CAPTURE(place);
      CAPTURE(what);
      const std::size_t at = outcome.out.find(std::string("/own/") + place);
      CHECK(at != std::string::npos);
      if (at == std::string::npos) continue;
      CHECK(holds(outcome.out.substr(at, outcome.out.find('\n', at) - at), what));
    }
    // Each once, though bar.toml is named by a kit as well.
    CHECK(errors_in(outcome.out) == wanted.size());

    const Outcome json = check(own.path(), {"--json"});
    CHECK(json.exit_code == 65);
    check_shape(json.out);
    for (const auto& [place, what] : wanted) CHECK(holds(json.out, what));
  }

  TEST_CASE("what loads but hardly means what it says is a warning, and a pass") {
    const OwnCatalogue own;
    own.copy("panels/slate.toml", "panels/old-bar.toml", "status = \"released\"", "status = \"withdrawn\"");
    own.copy("panels/slate.toml", "panels/bar.toml", "replaces = \"A\"", "replaces = \"flint\"");
    own.copy("panels/flint.toml", "panels/flint.toml");
    own.copy("kits/stop-display.toml", "kits/stop.toml", "panel = \"slate\"", "panel = \"old-bar\"");
    own.copy("kits/inspector-lamp.toml", "kits/gone.toml");
    own.write("kits/notes.md", "not a kit\n");
    const Outcome outcome = check(own.path());
    INFO(outcome.out);
    CHECK(outcome.exit_code == 0);
    CHECK(holds(outcome.out, "names the panel 'old-bar', which is withdrawn"));
    CHECK(holds(outcome.out, "/panels/flint.toml: hides "));
    CHECK(holds(outcome.out, "is released, though bar replaces it"));
    CHECK(holds(outcome.out, "/kits/notes.md: is read by nobody"));
    CHECK(holds(outcome.out, "): 0 errors, 4 warnings.\n"));  // a withdrawn kit may name what it likes
    const Outcome json = check(own.path(), {"--json"});
    CHECK(json.exit_code == 0);
    check_shape(json.out);
  }

  TEST_CASE("a folder that is none, or holds nothing of a catalogue, is no input") {
    const TemporaryFolder folder;
    for (const std::string& path : {folder.path() + "/none", folder.path(), folder.write("file", "x")}) {
      CAPTURE(path);
      const Outcome outcome = check(path);
      CHECK(outcome.exit_code == 66);
      CHECK(outcome.out.empty());
      CHECK(holds(outcome.err, path));
    }
  }

  TEST_CASE("a user's catalogue lies over the shipped one, by option and by XDG_DATA_HOME") {
    const OwnCatalogue own;
    own.copy("panels/slate.toml", "panels/slate.toml", "Slate, stretched bar", "Slate of my own");
    own.copy("kits/stop-display.toml", "kits/mine.toml", "Stop display", "Stop display of my own");

    const Outcome shipped = run(strapline({"check", "stop-display"}));
    CHECK_FALSE(holds(shipped.out, "of my own"));
    // The kit from one folder, its panel from the other, each as the first has it.
    for (const char* kit : {"mine", "stop-display"}) {
      CAPTURE(kit);
      Launch by_option = strapline({"--catalog", source_path("host/catalog"), "check", kit}, own.path());
      const Outcome over = run(by_option);
      CHECK(over.exit_code == 0);
      CHECK(holds(over.out, "Slate of my own"));
    }
    const Outcome under = run(strapline({"--catalog", own.path(), "check", "stop-display"}));
    CHECK(under.out == shipped.out);

    const TemporaryFolder home;
    fs::create_directories(home.path() + "/strapline");
    fs::copy(own.path(), home.path() + "/strapline/catalog", fs::copy_options::recursive);
    Launch by_home = strapline({"check", "mine"});
    by_home.environment["XDG_DATA_HOME"] = home.path();
    const Outcome found = run(by_home);
    CHECK(found.exit_code == 0);
    CHECK(holds(found.out, "Stop display of my own"));
    CHECK_FALSE(holds(found.out, "Slate of my own"));  // --catalog comes first
    CHECK(run(strapline({"check", "mine"})).exit_code == 66);
  }
}
