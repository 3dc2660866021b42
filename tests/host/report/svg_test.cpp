#include "host/report/svg.hpp"

#include <algorithm>

#include <doctest/doctest.h>

using namespace host::report;

namespace {

bool holds(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

Document with(const Shape& shape) {
  Drawing drawing;
  drawing.width = 100'000;
  drawing.height = 60'000;
  drawing.shapes = {shape};
  Document document;
  document.nodes = {drawing};
  return document;
}

}  // namespace

TEST_SUITE("host/report/svg") {
  // A height of 60 mm: what is 10 mm above the lower edge is 50 mm below the upper one.
  TEST_CASE("lengths are exact millimetres, and up is up") {
    CHECK(holds(to_svg(with(CircleShape{{12'345, 10'000}, 220, Role::kPin})),
                "cx=\"12.345\" cy=\"50\" r=\"0.22\""));
    CHECK(holds(to_svg(with(RectangleShape{{1500, 10'000}, 20'050, 4000, 0, Role::kOutline})),
                "x=\"1.5\" y=\"46\" width=\"20.05\" height=\"4\""));
    CHECK(holds(to_svg(with(LineShape{{-500, 0}, {0, 60'000}, Role::kFaint})),
                "x1=\"-0.5\" y1=\"60\" x2=\"0\" y2=\"0\""));
    CHECK(holds(to_svg(with(PolylineShape{{{0, 0}, {1000, 60'000}}, true, Role::kPin1})),
                "<polygon fill=\"#000\""));
    CHECK(holds(to_svg(with(PolylineShape{{{0, 0}, {1000, 60'000}}, true, Role::kPin1})),
                "points=\"0,60 1,0\""));
  }

  TEST_CASE("a picture says its size in millimetres, so that it prints to scale") {
    CHECK(holds(to_svg(with(CircleShape{})), "width=\"160mm\""));
  }

  TEST_CASE("each role looks its own way in black and white") {
    std::vector<std::string> looks;
    for (const Role role :
         {Role::kOutline, Role::kStrong, Role::kFaint, Role::kCap, Role::kPin, Role::kPin1}) {
      const std::string svg = to_svg(with(CircleShape{{0, 0}, 1000, role}));
      const std::size_t at = svg.find("<circle");
      const std::string look = svg.substr(at, svg.find("cx=") - at);
      // Caps and marks of pin 1 differ by shape: a bar and a triangle.
      if (role != Role::kPin1) CHECK(std::find(looks.begin(), looks.end(), look) == looks.end());
      looks.push_back(look);
    }
  }

  TEST_CASE("a drawing's words go along for whoever can't see it") {
    Drawing drawing;
    drawing.caption = "Board";
    drawing.words = {{"id", "set"}, {{{"BR1", "2-3"}, Tone::kPlain}, {{"S1", ""}, Tone::kPlain}}};
    Document document;
    document.nodes = {drawing};
    const std::string svg = to_svg(document);
    CHECK(holds(svg, "<title>Board</title>"));
    CHECK(holds(svg, "<desc>BR1, set 2-3; S1</desc>"));
    CHECK(holds(to_text(document, {}), "BR1  2-3"));
  }
}
