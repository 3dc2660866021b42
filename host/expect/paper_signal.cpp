#include <algorithm>

#include "host/expect/paper.hpp"
#include "host/expect/phrases.hpp"
#include "host/expect/points.hpp"
#include "host/signal/edp.hpp"

namespace host::expect {
namespace {

using model::FindingId;

void add(Findings& findings, FindingId id, std::string subject, std::string expected, std::string actual,
         std::string consequence = {}) {
  model::Finding finding =
      model::make_finding(id, std::move(subject), std::move(expected), std::move(actual));
  if (!consequence.empty()) finding.consequence = std::move(consequence);
  findings.push_back(std::move(finding));
}

void find_input(Findings& findings, const model::Kit& kit, const model::Timing& timing) {
  const auto input = std::ranges::find(kit.board.inputs, kit.video.input, &model::VideoInput::id);
  if (timing.pixel_clock <= input->pixel_clock_max) return;
  add(findings, FindingId::kInputUnfit, phrase("video.input.", input->id),
      phrase("<= ", to_text(input->pixel_clock_max)), to_text(timing.pixel_clock),
      phrase("Input ", input->id, " takes a pixel clock up to ", to_text(input->pixel_clock_max),
             "; the timing has ", to_text(timing.pixel_clock), ": no lock."));
}

template <typename Q>
void find_outside(Findings& findings, std::string subject, std::string_view what, Q value,
                  const model::Bounds<Q>& window) {
  if (window.contains(value)) return;
  add(findings, FindingId::kTimingOutOfWindow, std::move(subject), limits_text(window), to_text(value),
      phrase("The panel takes ", what, " of ", limits_text(window), "; the timing has ", to_text(value),
             ": an unsteady picture or none."));
}

void find_timing_faults(Findings& findings, const model::Kit& kit, const model::Timing& timing) {
  const auto& signal = kit.panel.signal;
  const auto raster = [](model::Pixels columns, model::Pixels lines) {
    return phrase(to_text(columns), " x ", to_text(lines));
  };
  if (timing.h_active != signal.raster_columns || timing.v_active != signal.raster_lines) {
    add(findings, FindingId::kTimingOutOfWindow, "timing.raster",
        raster(signal.raster_columns, signal.raster_lines), raster(timing.h_active, timing.v_active),
        phrase("The panel takes a raster of ", raster(signal.raster_columns, signal.raster_lines),
               "; the timing has ", raster(timing.h_active, timing.v_active),
               ": cut, shifted or no picture."));
  }
  if (timing.interlaced) {
    add(findings, FindingId::kTimingOutOfWindow, "timing.interlaced", "progressive", "interlaced",
        "The panel takes whole frames; the timing is interlaced: flickering lines or no picture.");
  }
  find_outside(findings, "timing.pixel_clock", "a pixel clock", timing.pixel_clock, signal.pixel_clock);
  find_outside(findings, "timing.h_total", "a line", timing.h_total(), signal.h_total);
  find_outside(findings, "timing.v_total", "a frame", timing.v_total(), signal.v_total);
  find_outside(findings, "timing.refresh", "a refresh rate", timing.refresh(), signal.refresh);
}

// What the eye sees of a beat, and what a driver's input can follow: common practice.
constexpr model::Millihertz kBeatSeen{10'000};
constexpr std::int64_t kShortestPulseNs = 1000;

std::string kind_name(model::LinkKind kind) {
  return kind == model::LinkKind::kLvds ? "lvds" : "edp";
}

// Lanes must run at a rate the board has and carry every pixel, eight of ten bits.
void find_lane_faults(Findings& findings, const model::Kit& kit, const Expectation& expectation) {
  const auto& link = expectation.link;
  const model::KilobitsPerSecond rate{link.bit_rate_kbps};
  const auto& board_max = kit.board.link.lane_rate_max;
  if (board_max && rate > *board_max) {
    add(findings, FindingId::kLinkOverLimit, "panel_link.lane_rate", phrase("<= ", to_text(*board_max)),
        to_text(rate),
        phrase("The panel's lanes run at ", to_text(rate), "; the board's at ", to_text(*board_max),
               " at most."));
  }
  const model::KilobitsPerSecond carried = model::edp_payload(link.channels, rate);
  const model::KilobitsPerSecond needed{signal::pixel_rate_kbps(expectation.timing.pixel_clock, link.bits)};
  if (needed > carried) {
    add(findings, FindingId::kLinkOverLimit, "panel_link.payload", phrase("<= ", to_text(carried)),
        to_text(needed),
        phrase("The timing needs ", to_text(needed), "; ", link.channels, " lanes of ", to_text(rate),
               " carry ", to_text(carried), " (8b/10b)."));
  }
}

void find_link_faults(Findings& findings, const model::Kit& kit, const Expectation& expectation) {
  const auto& output = kit.board.link;
  const auto& link = expectation.link;
  if (output.kind != kit.panel.link.kind) {
    add(findings, FindingId::kLinkOverLimit, "panel_link.kind", kind_name(kit.panel.link.kind),
        kind_name(output.kind),
        phrase("The panel takes ", kind_name(kit.panel.link.kind), "; the board gives ",
               kind_name(output.kind), "."));
  }
  if (link.channels > output.channels_max) {
    add(findings, FindingId::kLinkOverLimit, "panel_link.channels", phrase("<= ", output.channels_max),
        std::to_string(link.channels),
        phrase("The panel has ", link.channels, " channels; the board drives ", output.channels_max,
               " at most."));
  }
  const bool edp = kit.panel.link.kind == model::LinkKind::kEdp && output.kind == kit.panel.link.kind;
  if (edp && link.bit_rate_kbps > 0) find_lane_faults(findings, kit, expectation);
  if (link.channel_clock > output.channel_clock_max) {
    add(findings, FindingId::kLinkOverLimit, "panel_link.channel_clock",
        phrase("<= ", to_text(output.channel_clock_max)), to_text(link.channel_clock),
        phrase("The board clocks a channel at ", to_text(output.channel_clock_max),
               " at most; this timing needs ", to_text(link.channel_clock), "."));
  }
  const model::Timing& timing = expectation.timing;
  const auto divides = [&](model::Pixels count) {
    const bool lanes = kit.panel.link.kind == model::LinkKind::kEdp;
    return lanes || link.channels <= 1 || count.count % link.channels == 0;
  };
  if (!divides(timing.h_total()) || !divides(timing.h_front) || !divides(timing.h_sync)) {
    add(findings, FindingId::kTimingOutOfWindow, "timing.h_total", phrase("multiples of ", link.channels),
        to_text(timing.h_total()),
        phrase("Pixels are shared out among ", link.channels,
               " channels; total, front porch and sync should divide by it (common practice)."));
    findings.back().severity = model::Severity::kWarning;
  }
}

void find_dimming_faults(Findings& findings, const model::Kit& kit, const Expectation& expectation) {
  const auto& dimming = kit.panel.backlight.dimming;
  if (dimming.by != model::DimmingKind::kPwm) return;
  const model::Hertz frequency = pwm_frequency(kit);
  if (!dimming.frequency.contains(frequency)) {
    add(findings, FindingId::kPwmFrequency, "settings.pwm_frequency_hz", limits_text(dimming.frequency),
        to_text(frequency),
        phrase("The board dims at ", to_text(frequency), "; the backlight takes ",
               limits_text(dimming.frequency), "."));
  } else if (!kit.board.light.pwm_range.contains(frequency)) {
    add(findings, FindingId::kPwmFrequency, "settings.pwm_frequency_hz",
        limits_text(kit.board.light.pwm_range), to_text(frequency),
        phrase("The kit asks for ", to_text(frequency), "; the board dims at ",
               limits_text(kit.board.light.pwm_range), "."));
  }
  const BacklightNeed& light = expectation.backlight;
  if (light.beat < kBeatSeen && light.frequency_chosen.count > 0) {
    add(findings, FindingId::kPwmBeat, "settings.pwm_frequency_hz",
        phrase(">= ", to_text(kBeatSeen), " apart"), to_text(light.beat),
        phrase("The board dims at ", to_text(frequency), ", ", to_text(light.beat), " from a multiple of ",
               to_text(expectation.timing.refresh()), ": waves of brightness at that rate can be seen."));
  }
  if (light.shortest_pulse_ns > 0 && light.shortest_pulse_ns < kShortestPulseNs) {
    add(findings, FindingId::kPwmOnTime, "settings.pwm_frequency_hz", phrase(">= ", kShortestPulseNs, " ns"),
        phrase(light.shortest_pulse_ns, " ns"),
        phrase("At the lowest brightness a pulse lasts ", light.shortest_pulse_ns, " ns at ",
               to_text(frequency), "; many drivers can't follow what is shorter than ", kShortestPulseNs,
               " ns (common practice)."));
  }
  const auto& duty = light.duty_expected;
  if (duty && !dimming.duty.contains(*duty)) {
    add(findings, FindingId::kPwmDuty, "settings.brightness_permille", limits_text(dimming.duty),
        to_text(*duty),
        phrase("Brightness ", to_text(*kit.settings.brightness), " makes a duty of ", to_text(*duty),
               "; the backlight takes ", limits_text(dimming.duty), "."));
    findings.back().remedy = "Choose a brightness whose duty lies inside the limits shown.";
  }
}

}  // namespace

void find_signal_faults(Findings& findings, const model::Kit& kit, const Expectation& expectation) {
  find_input(findings, kit, expectation.timing);
  find_timing_faults(findings, kit, expectation.timing);
  find_link_faults(findings, kit, expectation);
  find_dimming_faults(findings, kit, expectation);
  find_analogue_faults(findings, kit);
}

}  // namespace host::expect
