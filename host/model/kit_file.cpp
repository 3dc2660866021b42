#include "host/model/kit_file.hpp"

#include <algorithm>

#include "host/model/nearest.hpp"
#include "host/model/part_file.hpp"
#include "host/model/words.hpp"

namespace host::model {
namespace {

std::optional<Named> read_name(TableReader& table, std::string_view key) {
  Named named{.id = {}, .place = table.place_of(key)};
  table.must_id(key, named.id);
  return named.id.empty() ? std::nullopt : std::optional(std::move(named));
}

void read_cables(TableReader& table, KitFile& kit_file) {
  for (const TomlNode& item : table.node().items) {
    if (!is_designator(item.key, "W")) {
      table.complaints().add(item.key_place, "a cable is W and a number, got '" + item.key + "'",
                             "such as W1 = \"light-6-300\"");
    }
    if (const auto named = read_name(table, item.key)) kit_file.cables[item.key] = *named;
  }
}

void read_length(TableReader& table, std::string_view key, Pixels& target, int min) {
  int count = 0;
  table.must_whole(key, count, min, 32'767);
  target = {count};
}

void read_timing(TableReader& table, Timing& timing) {
  table.must("pixel_clock", timing.pixel_clock);
  read_length(table, "h_active", timing.h_active, 1);
  read_length(table, "h_front", timing.h_front, 0);
  read_length(table, "h_sync", timing.h_sync, 1);
  read_length(table, "h_back", timing.h_back, 0);
  read_length(table, "v_active", timing.v_active, 1);
  read_length(table, "v_front", timing.v_front, 0);
  read_length(table, "v_sync", timing.v_sync, 1);
  read_length(table, "v_back", timing.v_back, 0);
  table.must("h_polarity", timing.h_polarity, words_for<Polarity>());
  table.must("v_polarity", timing.v_polarity, words_for<Polarity>());
  table.may("interlaced", timing.interlaced);
}

void read_video(TableReader& table, KitFile& kit_file) {
  Kit::Video& video = kit_file.kit.video;
  kit_file.input_place = table.place_of("input");
  table.must_id("input", video.input);
  video.timing_place = table.place_of("timing");
  const bool figures = table.has("timing") && table.node().find("timing")->kind == TomlNode::Kind::kTable;
  if (figures) {
    Timing timing;
    table.must_table("timing", [&](TableReader& reader) { read_timing(reader, timing); });
    video.timing = timing;
  } else {
    std::string name;
    table.must("timing", name);
    video.timing = name;
  }
}

void read_settings(TableReader& table, Kit::Settings& settings) {
  table.may("brightness", settings.brightness, kUpToWhole);
  if (table.has("power_on")) {
    PowerOn power_on{};
    table.must("power_on", power_on, words_for<PowerOn>());
    settings.power_on = power_on;
  } else {
    static_cast<void>(table.take("power_on", false));
  }
  table.may("pwm_frequency", settings.pwm_frequency);
}

void read_accept(TableReader& table, KitFile& kit_file) {
  for (const auto& [id, place] : table.texts("attested", false)) {
    kit_file.attested.push_back({.id = id, .place = place});
    kit_file.kit.accept.attested.push_back(id);
  }
  table.may("marginal", kit_file.kit.accept.marginal);
}

/// A function that can destroy a part when its straps stand wrong.
bool can_destroy(FunctionId id) {
  return id == FunctionId::kPanelSupply || id == FunctionId::kLightSupply;
}

bool selects_rail(const Board& board, std::string_view strap_id) {
  const auto names_it = [&](const FunctionRow::Setting& setting) {
    return board.straps[setting.strap].id == strap_id;
  };
  return std::any_of(board.functions.begin(), board.functions.end(), [&](const Function& function) {
    return can_destroy(function.id) &&
           std::any_of(function.rows.begin(), function.rows.end(), [&](const FunctionRow& row) {
             return std::any_of(row.settings.begin(), row.settings.end(), names_it);
           });
  });
}

}  // namespace

void read_kit(TableReader& table, const SourceFile& file, KitFile& kit_file) {
  Kit& kit = kit_file.kit;
  read_about(table, file, kit.about);
  kit_file.panel = read_name(table, "panel");
  kit_file.board = read_name(table, "board");
  kit_file.supply = read_name(table, "supply");
  if (table.has("keypad")) {
    kit_file.keypad = read_name(table, "keypad");
  } else {
    static_cast<void>(table.take("keypad", false));
  }
  table.must_table("cables", [&](TableReader& cables) { read_cables(cables, kit_file); });
  table.must_table("video", [&](TableReader& video) { read_video(video, kit_file); });
  table.may_table("settings", [&](TableReader& settings) { read_settings(settings, kit.settings); });
  table.may_table("accept", [&](TableReader& accept) { read_accept(accept, kit_file); });
}

void check_kit(Complaints& complaints, const KitFile& kit_file, const Board& board) {
  std::vector<std::string_view> inputs;
  inputs.reserve(board.inputs.size());
  for (const VideoInput& input : board.inputs) inputs.push_back(input.id);
  const std::string& used = kit_file.kit.video.input;
  if (!used.empty() && std::find(inputs.begin(), inputs.end(), used) == inputs.end()) {
    complaints.add(kit_file.input_place, "board " + board.about.id + " has no input '" + used + "'",
                   nearest_hint(used, inputs, "inputs"));
  }
  std::vector<std::string_view> straps;
  straps.reserve(board.straps.size());
  for (const Strap& strap : board.straps) straps.push_back(strap.id);
  for (const Named& attested : kit_file.attested) {
    if (board.strap(attested.id) == nullptr) {
      complaints.add(attested.place, "board " + board.about.id + " has no strap '" + attested.id + "'",
                     nearest_hint(attested.id, straps, "straps"));
    } else if (selects_rail(board, attested.id)) {
      complaints.add(attested.place,
                     attested.id + " selects a supply that can destroy a part, and no eye can vouch for that",
                     "take it out of attested");
    }
  }
}

}  // namespace host::model
