#include "sim/port/record.hpp"

#include "sim/port/durable_file.hpp"

namespace sim::port {
namespace {

constexpr int kCantCreate = 73;

}  // namespace

std::optional<Ending> Record::write(const Specimen& specimen) {
  const auto put = [](const std::string& path, std::string_view octets) -> std::optional<Ending> {
    const auto written = replace_file(path, octets, Durable::kNo);
    if (written) return std::nullopt;
    return Ending{kCantCreate, "strapline-sim: " + written.error() + "\n"};
  };
  if (!truth_path_.empty()) {
    std::string truth = script::to_json(specimen.truth()) + "\n";
    if (truth != truth_) {
      if (auto bad = put(truth_path_, truth)) return bad;
      truth_ = std::move(truth);
    }
  }
  return std::nullopt;
}

}  // namespace sim::port
