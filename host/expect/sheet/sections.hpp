#pragma once

#include <string>
#include <vector>

#include "host/expect/expectation.hpp"
#include "host/model/connector.hpp"
#include "host/model/kit.hpp"
#include "host/report/document.hpp"

namespace host::expect::sheet {

/// The sections of a sheet, each appended under its heading.
void add_cautions(report::Document& sheet, const model::Kit& kit);
void add_parts(report::Document& sheet, const model::Kit& kit);
void add_panel(report::Document& sheet, const model::Kit& kit);
void add_board(report::Document& sheet, const model::Kit& kit, const Expectation& expectation);
void add_wiring(report::Document& sheet, const model::Kit& kit);
void add_supply(report::Document& sheet, const model::Kit& kit, const Expectation& expectation);
void add_video(report::Document& sheet, const model::Kit& kit, const Expectation& expectation);
void add_settings(report::Document& sheet, const model::Kit& kit, const Expectation& expectation);
void add_figures(report::Document& sheet, const model::Kit& kit, const Expectation& expectation);

/// A cable of the kit between the connectors its ends mate with.
struct Joint {
  std::string designator;  // "W1"
  const model::Cable* cable = nullptr;
  const model::Connector* board = nullptr;  // nullptr: the board has none of that family
  const model::Connector* far = nullptr;  // nullptr: a keypad, which has no connectors of its own, or nothing
  std::string far_part;                   // "panel slate", "keypad five-key", "nothing"
  std::string purpose;                    // "panel link", "backlight", "keypad", "other"
};

/// The cables in the order to plug them: panel link, backlight, keypad, others. Several of one family take
/// the connectors of that family one after the other. They point into `kit`.
[[nodiscard]] std::vector<Joint> joints_of(const model::Kit& kit);

/// What a connector of the board is for: "supply input", "panel link, W1", "input hdmi-1", "service line".
[[nodiscard]] std::string purpose_of(const model::Kit& kit, const std::string& connector);

/// A table of two columns without titles.
class FactTable {
 public:
  void row(std::string name, std::string text) {
    if (!text.empty()) table_.rows.push_back({{std::move(name), std::move(text)}, report::Tone::kPlain});
  }
  void put(report::Document& sheet, std::string heading) {
    sheet.nodes.emplace_back(report::Heading{std::move(heading)});
    sheet.nodes.emplace_back(std::move(table_));
  }

 private:
  report::Table table_;
};

}  // namespace host::expect::sheet
