#include "tests/sim/eye/scene_bench.hpp"

namespace tests::sim {

namespace eye = ::sim::eye;
namespace model = host::model;

eye::Scene good_scene() {
  eye::Scene scene;
  scene.source.columns = scene.source.wanted_columns = 640;
  scene.source.lines = scene.source.wanted_lines = 400;
  scene.driven.columns = 640;
  scene.driven.lines = 400;
  scene.driven.h_total = 800;
  scene.driven.v_total = 500;
  scene.driven.hertz = 24e6;
  scene.driven.mapping = model::Mapping::kVesa24;
  scene.data = true;
  scene.wires.path = host::signal::straight_path(1);
  scene.panel.columns = scene.panel.width = 640;
  scene.panel.lines = scene.panel.height = 400;
  scene.panel.mapping = model::Mapping::kVesa24;
  scene.panel.clock = {model::Hertz{20'000'000}, {}, model::Hertz{28'000'000}};
  scene.panel.h_total = {model::Pixels{780}, {}, model::Pixels{840}};
  scene.panel.v_total = {model::Pixels{480}, {}, model::Pixels{520}};
  scene.panel.refresh = {model::Millihertz{55'000}, {}, model::Millihertz{65'000}};
  scene.panel.title = "BENCH";
  scene.glass.running = true;
  scene.light.lit = true;
  scene.light.share = scene.light.wanted = scene.light.duty = 0.8;
  scene.light.hertz = 200;
  return scene;
}

eye::Scene two_channels() {
  eye::Scene scene = good_scene();
  scene.driven.channels = scene.panel.channels = 2;
  scene.wires.path = host::signal::straight_path(2);
  return scene;
}

std::string seen_of(const eye::Scene& scene, bool touched) {
  const eye::Glance glance = eye::glance(scene, touched);
  std::string text = glance.screen;
  for (const std::string& word : glance.look) text += (text == glance.screen ? ": " : " ") + word;
  return text;
}

}  // namespace tests::sim
