#include <filesystem>
#include <string>

#include <doctest/doctest.h>
#include <unistd.h>

#include "host/model/board.hpp"
#include "host/model/catalogue.hpp"
#include "host/model/source_file.hpp"
#include "tests/host/model/catalogue_copy.hpp"

TEST_SUITE("host/model") {
  using namespace host::model;
  namespace fs = std::filesystem;

  TEST_CASE("an unknown kit is answered with the nearest one and with what there is") {
    const CatalogueCopy copy;
    const auto kit = load_kit("stop-dispaly", copy.catalogue());
    REQUIRE_FALSE(kit.has_value());
    REQUIRE(kit.error().size() == 1);
    CHECK(kit.error()[0].kind == FileError::Kind::kMissing);
    CHECK(to_text(kit.error()[0]) ==
          "stop-dispaly: there is no such kit; did you mean 'stop-display'? kits: cab-display, control-wall, "
          "depot-monitor, driver-screen, gate-panel, inspector-desk, inspector-lamp, passenger-column, "
          "platform-sign, route-clock, stop-button, stop-display, ticket-machine");
    for (const char* id : {"", "..", "stop display", "\x1b[31m"}) {
      CAPTURE(id);
      const auto none = load_kit(id, copy.catalogue());
      REQUIRE_FALSE(none.has_value());
      CHECK(none.error()[0].kind == FileError::Kind::kMissing);
    }
    CHECK(load_kit("stop-display", {}).error()[0].remedy == "kits: none");
    CHECK(load_kit("stop-display", {"/nowhere"}).error()[0].kind == FileError::Kind::kMissing);
  }

  TEST_CASE("a file that is a link to nowhere is named, not called unknown") {
    const CatalogueCopy copy;
    fs::create_symlink("nowhere.toml", copy.path("kits/lost.toml"));
    const auto kit = load_kit("lost", copy.catalogue());
    REQUIRE_FALSE(kit.has_value());
    CHECK(kit.error()[0].path == copy.path("kits/lost.toml"));
    CHECK(kit.error()[0].what.find("no such kit") == std::string::npos);
  }

  TEST_CASE("a kit is an id of the catalogue or a path") {
    const CatalogueCopy copy;
    const std::string path = copy.path("kits/stop-display.toml");
    const auto by_path = load_kit(path, copy.catalogue());
    REQUIRE(by_path.has_value());
    CHECK(by_path->about.id == "stop-display");
    CHECK(by_path->about.path == path);
    CHECK(by_path->digest == load_kit("stop-display", copy.catalogue())->digest);
    const auto missing = load_kit("no/such.toml", copy.catalogue());
    REQUIRE_FALSE(missing.has_value());
    CHECK(missing.error()[0].kind == FileError::Kind::kMissing);
    CHECK(load_kit(path + "/x.toml", copy.catalogue()).error()[0].kind == FileError::Kind::kMissing);
  }

  TEST_CASE("the first folder that has a file wins") {
    const CatalogueCopy one;
    const CatalogueCopy other;
    REQUIRE(one.replace("panels/slate.toml", "title = \"", "title = \"First "));
    REQUIRE(other.replace("panels/slate.toml", "title = \"", "title = \"Second "));
    fs::remove(one.path("boards/alder.toml"));
    const auto kit = load_kit("stop-display", {one.path("."), other.path(".")});
    REQUIRE(kit.has_value());
    CHECK(kit->panel.about.title.starts_with("First "));
    CHECK(kit->board.about.path.starts_with(other.path("")));
    CHECK(kit_ids({one.path("."), other.path(".")}) == kit_ids(one.catalogue()));
  }

  TEST_CASE("what is no ordinary file is refused before it is opened") {
    const CatalogueCopy copy;
    fs::create_directory(copy.path("kits/folder.toml"));
    const auto folder = load_kit("folder", copy.catalogue());
    REQUIRE_FALSE(folder.has_value());
    CHECK(folder.error()[0].kind == FileError::Kind::kMalformed);
    CHECK(folder.error()[0].what == "is a folder, not a file");
    const auto device = read_source("/dev/zero");
    REQUIRE_FALSE(device.has_value());
    CHECK(device.error()[0].what == "is not an ordinary file");
  }

  TEST_CASE("a file larger than 1 MiB is refused, one of 1 MiB is read") {
    const CatalogueCopy copy;
    copy.write("kits/big.toml", std::string(kFileSizeMax + 1, '#'));
    REQUIRE_FALSE(load_kit("big", copy.catalogue()).has_value());
    CHECK(load_kit("big", copy.catalogue()).error()[0].what == "is larger than 1 MiB");
    copy.write("kits/big.toml", std::string(kFileSizeMax, '#'));
    CHECK(read_source(copy.path("kits/big.toml")).has_value());
  }

  TEST_CASE("a file one may not read says so") {
    const CatalogueCopy copy;
    fs::permissions(copy.path("panels/slate.toml"), fs::perms::none);
    const auto panel = load_panel("slate", copy.catalogue());
    if (geteuid() == 0) {
      CHECK(panel.has_value());  // nothing is closed to root
      return;
    }
    REQUIRE_FALSE(panel.has_value());
    CHECK(panel.error()[0].kind == FileError::Kind::kUnreadable);
    CHECK(panel.error()[0].what == "no right to read this file");
  }

  TEST_CASE("a board knows what it has fitted and how each point is known") {
    using protocol::points::Point;
    const CatalogueCopy copy;
    REQUIRE(copy.replace("boards/alder.toml", "absent = [",
                         "evidence = { \"thermal.board_mdegc\" = \"declared\" }\nabsent = [\"log\", "));
    const auto board = load_board("alder", copy.catalogue());
    REQUIRE(board.has_value());
    CHECK(board->evidence_of(Point::kRailsPanelOutMv) == Evidence::kMeasured);
    CHECK(board->evidence_of(Point::kPanelLinkMapping) == Evidence::kDeclared);
    CHECK(board->evidence_of(Point::kThermalBoardMdegc) == Evidence::kDeclared);
    CHECK(board->evidence_of(Point::kStrapsStrap4) == Evidence::kSensed);
    CHECK_FALSE(board->fitted(Point::kStrapsStrap5));  // no strap has this index
    CHECK_FALSE(board->fitted(Point::kThermalPanelMdegc));
    CHECK_FALSE(board->fitted(Point::kLogRecords));  // its whole group is absent
    CHECK(board->evidence_of(Point::kLogRecords) == Evidence::kUnread);
    CHECK(board->strap("BR5")->evidence == Evidence::kUnread);
    CHECK(board->rail(RailId::kPanel)->choices.size() == 3);
    CHECK(board->function(FunctionId::kLightSupply) == nullptr);
  }
}
