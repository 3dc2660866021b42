#include "host/report/svg.hpp"

#include <algorithm>
#include <sstream>

#include <pugixml.hpp>

#include "host/report/columns.hpp"
#include "host/report/strap_shapes.hpp"
#include "host/report/svg_tree.hpp"

namespace host::report {
namespace {

using Length = std::int64_t;

// Micrometres as millimetres: "41.5". Written by hand, since the locale has no say in a file.
std::string millimetres(Length micrometres) {
  const Length size = micrometres < 0 ? -micrometres : micrometres;
  std::string text = (micrometres < 0 ? "-" : "") + std::to_string(size / 1000);
  if (const Length rest = size % 1000; rest != 0) {
    std::string digits = std::to_string(1000 + rest).substr(1);
    digits.erase(digits.find_last_not_of('0') + 1);
    text += '.' + digits;
  }
  return text;
}

struct Look {
  const char* fill;
  const char* stroke;
  const char* width;  // of the stroke, millimetres
};

Look look_of(Role role) {
  switch (role) {
    case Role::kOutline: return {"none", "#000", "0.35"};
    case Role::kStrong: return {"none", "#000", "0.7"};
    case Role::kFaint: return {"none", "#555", "0.18"};
    case Role::kCap: return {"#000", "#000", "0.1"};
    case Role::kPin: return {"#fff", "#000", "0.25"};
    case Role::kPin1: return {"#000", "#000", "0.1"};
  }
  return {"none", "#000", "0.35"};
}

void set(pugi::xml_node node, const char* name, const std::string& value) {
  node.append_attribute(name).set_value(value.c_str());
}

class Painter {
 public:
  Painter(pugi::xml_node parent, Length height) : parent_{parent}, height_{height} {}

  void operator()(const RectangleShape& shape) {
    auto node = element("rect", shape.role);
    set(node, "x", millimetres(shape.corner.x));
    set(node, "y", down(shape.corner.y + shape.height));
    set(node, "width", millimetres(shape.width));
    set(node, "height", millimetres(shape.height));
    if (shape.radius > 0) set(node, "rx", millimetres(shape.radius));
  }

  void operator()(const LineShape& shape) {
    auto node = element("line", shape.role);
    set(node, "x1", millimetres(shape.from.x));
    set(node, "y1", down(shape.from.y));
    set(node, "x2", millimetres(shape.to.x));
    set(node, "y2", down(shape.to.y));
  }

  void operator()(const CircleShape& shape) {
    auto node = element("circle", shape.role);
    set(node, "cx", millimetres(shape.centre.x));
    set(node, "cy", down(shape.centre.y));
    set(node, "r", millimetres(shape.radius));
  }

  void operator()(const PolylineShape& shape) {
    auto node = element(shape.closed ? "polygon" : "polyline", shape.role);
    std::string points;
    for (const auto& spot : shape.spots)
      points += (points.empty() ? "" : " ") + millimetres(spot.x) + ',' + down(spot.y);
    set(node, "points", points);
  }

  void operator()(const TextShape& shape) {
    auto node = parent_.append_child("text");
    set(node, "x", millimetres(shape.at.x));
    set(node, "y", down(shape.at.y));
    set(node, "font-size", millimetres(shape.height));
    set(node, "font-family", "sans-serif");
    set(node, "fill", shape.role == Role::kFaint ? "#333" : "#000");
    if (shape.role == Role::kStrong) set(node, "font-weight", "bold");
    if (shape.anchor != Anchor::kStart)
      set(node, "text-anchor", shape.anchor == Anchor::kMiddle ? "middle" : "end");
    add_text(node, shape.text);
  }

 private:
  [[nodiscard]] std::string down(Length y) const { return millimetres(height_ - y); }

  pugi::xml_node element(const char* name, Role role) {
    auto node = parent_.append_child(name);
    const Look look = look_of(role);
    set(node, "fill", look.fill);
    set(node, "stroke", look.stroke);
    set(node, "stroke-width", look.width);
    return node;
  }

  pugi::xml_node parent_;
  Length height_;
};

pugi::xml_node add_canvas(pugi::xml_node parent, Length width, Length height) {
  auto svg = parent.append_child("svg");
  set(svg, "width", millimetres(width) + "mm");
  set(svg, "height", millimetres(height) + "mm");
  set(svg, "viewBox", "0 0 " + millimetres(width) + ' ' + millimetres(height));
  return svg;
}

std::string words_of(const Table& table) {
  std::string text;
  for (const auto& row : table.rows) {
    if (!text.empty()) text += "; ";
    for (std::size_t cell = 0; cell < row.cells.size(); ++cell) {
      if (row.cells[cell].empty()) continue;
      if (cell > 0) text += ", ";
      if (cell > 0 && cell < table.titles.size()) text += table.titles[cell] + ' ';
      text += row.cells[cell];
    }
  }
  return text;
}

void fill(pugi::xml_node svg, const Drawing& drawing) {
  if (!drawing.caption.empty()) add_text(svg.append_child("title"), drawing.caption);
  if (const std::string words = words_of(drawing.words); !words.empty())
    add_text(svg.append_child("desc"), words);
  Painter painter{svg, drawing.height};
  for (const auto& shape : drawing.shapes) std::visit(painter, shape);
}

constexpr Length kEdge = 5000;
constexpr Length kType = 3200;
constexpr Length kLine = 5000;
constexpr Length kTypeWide = 2050;  // of a character of that type, on the generous side
constexpr Length kWidthMin = 150'000;

}  // namespace

void add_text(pugi::xml_node parent, std::string_view text) {
  parent.append_child(pugi::node_pcdata).set_value(cleaned(text).c_str());
}

void add_svg(pugi::xml_node parent, const Drawing& drawing) {
  fill(add_canvas(parent, drawing.width, drawing.height), drawing);
}

std::string to_svg(const Document& document) {
  struct Shown {
    Drawing drawing;
    bool is_strap = false;
  };
  std::vector<Shown> drawings;
  for (const auto& node : document.nodes) {
    if (const auto* drawing = std::get_if<Drawing>(&node)) drawings.push_back({*drawing, false});
    if (const auto* strap = std::get_if<StrapDrawing>(&node)) drawings.push_back({drawn(*strap), true});
  }
  Length width = kWidthMin;
  for (const auto& shown : drawings) width = std::max(width, shown.drawing.width);
  const auto lines_of = [&](std::string_view text) {
    return wrapped(cleaned(text), static_cast<int>(width / kTypeWide));
  };

  // Everything stands below what came before; a line of type is a drawing too.
  struct Part {
    Drawing drawing;
    Spot at;  // to the right and down from the upper left corner
  };
  std::vector<Part> parts;
  Length used = kEdge;
  const auto add = [&](Drawing drawing) {
    const Length height = drawing.height;
    parts.push_back({std::move(drawing), {kEdge, used}});
    used += height;
  };
  // Straps stand in rows; `row` is the room taken in the present one.
  Spot row;
  const auto end_row = [&] {
    used += row.y;
    row = {};
  };
  const auto add_strap = [&](Drawing drawing) {
    if (row.x > 0 && row.x + drawing.width > width) end_row();
    const Spot at{kEdge + row.x, used};
    row = {row.x + drawing.width + kEdge, std::max(row.y, drawing.height + kEdge / 2)};
    parts.push_back({std::move(drawing), at});
  };
  const auto add_lines = [&](std::string_view text, Role role) {
    for (const auto& line : lines_of(text)) {
      Drawing type;
      type.width = width;
      type.height = kLine;
      type.shapes.emplace_back(TextShape{{0, kLine - kType}, kType, Anchor::kStart, line, role});
      add(std::move(type));
    }
  };
  if (!document.title.empty()) add_lines(document.title, Role::kStrong);
  for (auto& [drawing, is_strap] : drawings) {
    if (is_strap) {
      add_strap(std::move(drawing));
      continue;
    }
    end_row();
    const std::string caption = drawing.caption;
    add(std::move(drawing));
    add_lines(caption, Role::kFaint);
  }
  end_row();
  if (!document.foot.empty()) add_lines(document.foot, Role::kFaint);

  pugi::xml_document file;
  auto svg = add_canvas(file.root(), width + 2 * kEdge, used + kEdge);
  set(svg, "xmlns", "http://www.w3.org/2000/svg");
  for (const auto& part : parts) {
    const auto& [drawing, at] = part;
    auto inner = add_canvas(svg, drawing.width, drawing.height);
    // Inside, lengths count in the outer picture's units.
    inner.attribute("width").set_value(millimetres(drawing.width).c_str());
    inner.attribute("height").set_value(millimetres(drawing.height).c_str());
    set(inner, "x", millimetres(at.x));
    set(inner, "y", millimetres(at.y));
    fill(inner, drawing);
  }
  std::ostringstream out;
  file.save(out, " ", pugi::format_indent, pugi::encoding_utf8);
  return std::move(out).str();
}

}  // namespace host::report
