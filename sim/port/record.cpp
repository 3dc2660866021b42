#include "sim/port/record.hpp"

#include "host/signal/card/png.hpp"
#include "sim/eye/glance.hpp"
#include "sim/eye/unit_scene.hpp"
#include "sim/port/durable_file.hpp"

namespace sim::port {
namespace {

constexpr int kCantCreate = 73;

std::optional<Ending> put(const std::string& path, std::string_view octets) {
  const auto written = replace_file(path, octets, Durable::kNo);
  if (written) return std::nullopt;
  return Ending{kCantCreate, "strapline-sim: " + written.error() + "\n"};
}

}  // namespace

std::optional<Ending> Record::write(const Specimen& specimen) {
  if (!truth_path_.empty()) {
    std::string truth = script::to_json(specimen.truth()) + "\n";
    if (truth != truth_) {
      if (auto bad = put(truth_path_, truth)) return bad;
      truth_ = std::move(truth);
    }
  }
  return std::nullopt;
}

std::optional<Ending> Record::draw(const Specimen& specimen) const {
  if (seen_path_.empty()) return std::nullopt;
  const auto octets = host::signal::card::to_png(eye::picture(eye::scene_of(specimen.unit())));
  if (octets.empty()) {
    return Ending{kCantCreate, "strapline-sim: " + seen_path_ + ": no memory to write the picture\n"};
  }
  return put(seen_path_,
             {reinterpret_cast<const char*>(octets.data()), octets.size()});  // NOLINT(*-reinterpret-cast)
}

}  // namespace sim::port
