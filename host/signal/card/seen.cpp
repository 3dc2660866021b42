#include "host/signal/card/seen.hpp"

#include <array>
#include <charconv>
#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "host/signal/lvds.hpp"

namespace host::signal::card {
namespace {

using Error = tl::unexpected<std::string>;

constexpr std::array kMappings = {model::Mapping::kRgb18, model::Mapping::kVesa24, model::Mapping::kJeida24,
                                  model::Mapping::kVesa30, model::Mapping::kJeida30};

std::optional<int> whole_number(std::string_view text) {
  int number = 0;
  const char* end = text.data() + text.size();
  const auto [stop, error] = std::from_chars(text.data(), end, number);
  if (error != std::errc{} || stop != end) return std::nullopt;
  return number;
}

int depth_of(model::Mapping mapping) {
  return model::bits_per_pixel(mapping) / 3;
}

tl::expected<LinkView, std::string> with_mapping(LinkView view, std::string_view name) {
  std::string known;
  for (const model::Mapping mapping : kMappings) {
    if (model::to_text(mapping) == name) {
      view.driven = mapping;
      return view;
    }
    known += (known.empty() ? "" : ", ") + std::string{model::to_text(mapping)};
  }
  return Error{"mapping takes one of " + known};
}

// Which channel and pair the number of a pair means.
tl::expected<std::pair<int, int>, std::string> pair_of(const LinkView& view, std::string_view text) {
  const int pairs = data_pairs(view.received);
  const int count = pairs * view.path.channels;
  const std::optional<int> number = whole_number(text);
  if (!number || *number < 0 || *number >= count) {
    return Error{"this panel's link has pairs 0 to " + std::to_string(count - 1)};
  }
  return std::pair{*number / pairs, *number % pairs};
}

tl::expected<LinkView, std::string> with_open(LinkView view, std::string_view text) {
  if (text == "clock") {
    view.path.clock_open[0] = true;
    return view;
  }
  const auto pair = pair_of(view, text);
  if (!pair) return Error{pair.error() + ", or clock"};
  view.path = with_pair_open(view.path, pair->first, pair->second);
  return view;
}

tl::expected<LinkView, std::string> with_reversed(LinkView view, std::string_view text) {
  const auto pair = pair_of(view, text);
  if (!pair) return Error{pair.error()};
  view.path = with_pair_reversed(view.path, pair->first, pair->second);
  return view;
}

tl::expected<LinkView, std::string> with_bits(LinkView view, std::string_view text) {
  const std::optional<int> bits = whole_number(text);
  const int depth = depth_of(view.received);
  if (!bits || *bits < 1 || *bits > depth) {
    return Error{"bits takes 1 to " + std::to_string(depth) + " a colour"};
  }
  view.bits_used = *bits;
  return view;
}

tl::expected<LinkView, std::string> with_shift(LinkView view, std::string_view text) {
  const std::size_t comma = text.find(',');
  const std::optional<int> x = whole_number(text.substr(0, comma));
  const std::optional<int> y = comma == std::string_view::npos ? 0 : whole_number(text.substr(comma + 1));
  constexpr int kMax = 16384;
  if (!x || !y || *x < -kMax || *x > kMax || *y < -kMax || *y > kMax) {
    return Error{"shifted takes pixels, such as shifted=12,-3"};
  }
  view.shift_x = *x;
  view.shift_y = *y;
  return view;
}

std::uint16_t driven_level(std::uint8_t level, const LinkView& view) {
  const int depth = depth_of(view.driven);
  const std::uint16_t value = to_depth(level, 8, depth);
  if (view.bits_used >= depth) return value;
  const int lost = depth - view.bits_used;
  return static_cast<std::uint16_t>((value >> lost) << lost);
}

std::uint8_t seen_level(std::uint16_t value, const LinkView& view) {
  return static_cast<std::uint8_t>(to_depth(value, depth_of(view.received), 8));
}

}  // namespace

LinkView healthy_view(const model::Kit& kit) {
  LinkView view;
  view.driven = view.received = kit.panel.link.mapping;
  view.path = straight_path(kit.panel.link.channels);
  view.bits_used = depth_of(view.driven);
  return view;
}

tl::expected<LinkView, std::string> with_fault(LinkView view, std::string_view fault) {
  const std::size_t equals = fault.find('=');
  const std::string_view name = fault.substr(0, equals);
  const std::string_view value = equals == std::string_view::npos ? "" : fault.substr(equals + 1);
  if (name == "mapping") return with_mapping(std::move(view), value);
  if (name == "bits") return with_bits(std::move(view), value);
  if (name == "pair-open") return with_open(std::move(view), value);
  if (name == "pair-reversed") return with_reversed(std::move(view), value);
  if (name == "shifted") return with_shift(std::move(view), value);
  if (fault == "channels-swapped") {
    if (view.path.channels < 2) return Error{"channels-swapped needs a link of two channels or more"};
    view.path = with_channels_swapped(view.path, 0, 1);
    return view;
  }
  return Error{
      "a fault is one of mapping=NAME, channels-swapped, bits=N, pair-open=N, pair-reversed=N, shifted=X,Y"};
}

Raster as_seen(const Raster& raster, const CardPlan& plan, const LinkView& view, model::Unlit unlit) {
  CardPlan shifted = plan;
  shifted.x += view.shift_x;
  shifted.y += view.shift_y;
  const Raster sent = visible_part(raster, shifted);
  Raster seen{sent.width(), sent.height(), unlit == model::Unlit::kWhite ? kWhite : kBlack};

  for (int y = 0; y < sent.height(); ++y) {
    std::vector<LvdsPixel> line;
    line.reserve(static_cast<std::size_t>(sent.width()));
    for (int x = 0; x < sent.width(); ++x) {
      const Rgb pixel = sent.at(x, y);
      line.push_back(
          {driven_level(pixel.red, view), driven_level(pixel.green, view), driven_level(pixel.blue, view)});
    }
    const std::vector<LvdsPixel> got = carry(view.driven, view.received, view.path, line);
    for (std::size_t x = 0; x < got.size(); ++x) {
      const LvdsPixel& pixel = got[x];
      const Rgb colour{seen_level(pixel.red, view), seen_level(pixel.green, view),
                       seen_level(pixel.blue, view)};
      seen.set(static_cast<int>(x), y, pixel.enable ? colour : kBlack);
    }
  }
  return plan.round
             ? visible_part(seen, {seen.width(), seen.height(), 0, 0, seen.width(), seen.height(), true, {}})
             : seen;
}

}  // namespace host::signal::card
