#include <cctype>
#include <set>
#include <string>
#include <vector>

#include <doctest/doctest.h>

#include "host/model/canonical.hpp"
#include "host/model/catalogue.hpp"
#include "host/model/part_file.hpp"
#include "tests/host/model/catalogue_copy.hpp"

namespace {

std::string digest_of(const CatalogueCopy& copy, const char* kit = "stop-display") {
  const auto loaded = host::model::load_kit(kit, copy.catalogue());
  return loaded ? loaded->digest : "";
}

/// What one file of the copy adds to a digest; empty when it has errors.
template <typename T>
std::string part_digest(host::model::Loaded<host::model::FromFile<T>> (*read)(const host::model::SourceFile&),
                        const std::string& text) {
  const auto part = read({.path = "part.toml", .text = text});
  return part ? host::model::digest(part->canonical) : "";
}

/// Changes each digit and each letter inside each value in turn (never a key, never a comment). Every
/// change that still loads must change the digest; how many did is returned.
template <typename T>
int changes_seen(host::model::Loaded<host::model::FromFile<T>> (*read)(const host::model::SourceFile&),
                 const std::string& text) {
  const std::string before = part_digest(read, text);
  REQUIRE(!before.empty());
  int seen = 0;
  bool in_text = false;
  bool in_comment = false;
  bool in_value = false;
  for (std::size_t n = 0; n < text.size(); ++n) {
    const char c = text[n];
    if (c == '\n') in_text = in_comment = in_value = false;
    if (c == '#' && !in_text) in_comment = true;
    if (c == '"' && !in_comment) in_text = !in_text;
    if (c == '=' && !in_text) in_value = true;
    if (in_comment || !in_value || std::isalnum(static_cast<unsigned char>(c)) == 0) continue;
    std::string changed = text;
    changed[n] = c == '1' ? '2' : c == '9' ? '8' : static_cast<char>(c + 1);
    const std::string after = part_digest(read, changed);
    if (after.empty()) continue;
    CAPTURE(text.substr(text.rfind('\n', n) + 1, text.find('\n', n) - text.rfind('\n', n) - 1));
    REQUIRE(after != before);
    ++seen;
  }
  return seen;
}

}  // namespace

TEST_SUITE("host/model") {
  using namespace host::model;

  TEST_CASE("the digest is the SHA-256 of the canonical text") {
    CHECK(digest(Canonical::of(std::string("a"))) ==
          "ac8d8342bbb2362d13f0a559a3621bb407011368895164b628a54f7fc33fc43c");  // printf '"a"' | sha256sum
    Canonical table;
    table.add("b", Canonical::of(std::int64_t{2}));
    table.add("a", Canonical::of(true));
    CHECK(canonical_json(table) == R"({"a":true,"b":2})");
  }

  TEST_CASE("layout, comments, key order and spelling of a quantity don't count") {
    const CatalogueCopy copy;
    const std::string before = digest_of(copy);
    REQUIRE(before.size() == 64);
    REQUIRE(copy.replace("panels/slate.toml", "[glass]", "# a remark\n\n  [ glass ] # another"));
    REQUIRE(copy.replace("panels/slate.toml",
                         "title = \"Slate, stretched bar, 28 in class\"\nrevision = \"B\"",
                         "revision   =   'B'\ntitle = \"Slate, stretched bar, 28 in class\""));
    REQUIRE(copy.replace("panels/slate.toml", "\"12 V ±10 %\"", "\"10.80 / 12000e / 13.2 V\""));
    CHECK(digest_of(copy).empty());  // not a quantity: the change above is really read
    REQUIRE(copy.replace("panels/slate.toml", "12000e", "12.0"));
    REQUIRE(copy.replace("panels/slate.toml", "idle = \"0.25 A\"", "idle = \"250 mA\""));
    REQUIRE(copy.replace("panels/slate.toml", "1-3 = \"GND\"", "3 = \"GND\", 1-2 = \"GND\""));
    REQUIRE(copy.replace("kits/stop-display.toml", "W1 = \"bar-dual-lvds-300\"\nW2 = \"light-14-450\"",
                         "W2 = \"light-14-450\"\nW1 = \"bar-dual-lvds-300\""));
    REQUIRE(copy.replace("boards/alder.toml", "straps = { BR2 = \"1-2\" }", "straps = { BR2 = [\"1-2\"] }"));
    CHECK(digest_of(copy) == before);
  }

  TEST_CASE("every file that a kit names counts, and no other") {
    const CatalogueCopy copy;
    std::set<std::string> seen = {digest_of(copy)};
    for (const char* file :
         {"kits/stop-display.toml", "panels/slate.toml", "boards/alder.toml", "supplies/depot-24v-60w.toml",
          "keypads/five-key.toml", "cables/bar-dual-lvds-300.toml", "cables/light-14-450.toml",
          "cables/keypad-5-600.toml"}) {
      CAPTURE(file);
      REQUIRE(copy.replace(file, "title = \"", "title = \"New "));
      const std::string after = digest_of(copy);
      CHECK(after.size() == 64);
      CHECK(seen.insert(after).second);
    }
    REQUIRE(copy.replace("panels/flint.toml", "title = \"", "title = \"New "));
    CHECK(!seen.insert(digest_of(copy)).second);
  }

  TEST_CASE("the same kit has the same digest from another folder") {
    const CatalogueCopy one;
    const CatalogueCopy other;
    CHECK(digest_of(one) == digest_of(other));
    CHECK(digest_of(one) != digest_of(one, "cab-display"));
  }

  TEST_CASE("no character of a value can change without the digest") {
    const CatalogueCopy copy;
    CHECK(changes_seen(read_panel, copy.read("panels/chalk.toml")) > 200);
    CHECK(changes_seen(read_cable, copy.read("cables/keypad-5-600.toml")) > 60);
    CHECK(changes_seen(read_supply, copy.read("supplies/cab-12v-40w.toml")) > 30);
    CHECK(changes_seen(read_keypad, copy.read("keypads/five-key.toml")) > 40);
  }
}
