#include "host/cli/timing_answer.hpp"

#include "host/model/quantity_text.hpp"

namespace host::cli {
namespace {

std::string_view word(model::Polarity polarity) {
  return polarity == model::Polarity::kPositive ? "positive" : "negative";
}

// Lines a second, to the nearest hertz; 0 for an empty raster.
model::Hertz line_rate(const model::Timing& timing) {
  const std::int64_t total = timing.h_total().count;
  return {total == 0 ? 0 : (timing.pixel_clock.count + total / 2) / total};
}

}  // namespace

report::json::Value timing_json(const model::Timing& timing) {
  report::json::Value object;
  object.set("pixel_clock_hz", timing.pixel_clock.count);
  object.set("line_rate_hz", line_rate(timing).count);
  object.set("refresh_millihz", timing.refresh().count);
  object.set("h_active", timing.h_active.count);
  object.set("h_front", timing.h_front.count);
  object.set("h_sync", timing.h_sync.count);
  object.set("h_back", timing.h_back.count);
  object.set("h_total", timing.h_total().count);
  object.set("h_polarity", word(timing.h_polarity));
  object.set("v_active", timing.v_active.count);
  object.set("v_front", timing.v_front.count);
  object.set("v_sync", timing.v_sync.count);
  object.set("v_back", timing.v_back.count);
  object.set("v_total", timing.v_total().count);
  object.set("v_polarity", word(timing.v_polarity));
  object.set("interlaced", timing.interlaced);
  return object;
}

report::Table timing_table(const model::Timing& timing) {
  report::Table table{{"", "active", "front", "sync", "back", "total", "rate", "sync is"}, {}};
  const auto row = [&](std::string name, std::initializer_list<model::Pixels> counts, std::string rate,
                       model::Polarity polarity) {
    std::vector<std::string> cells{std::move(name)};
    for (const auto count : counts) cells.push_back(std::to_string(count.count));
    cells.push_back(std::move(rate));
    cells.emplace_back(word(polarity));
    table.rows.push_back({std::move(cells), report::Tone::kPlain});
  };
  row("horizontal", {timing.h_active, timing.h_front, timing.h_sync, timing.h_back, timing.h_total()},
      to_text(line_rate(timing)), timing.h_polarity);
  row("vertical", {timing.v_active, timing.v_front, timing.v_sync, timing.v_back, timing.v_total()},
      to_text(timing.refresh()), timing.v_polarity);
  return table;
}

}  // namespace host::cli
