#include "tests/fuzz/targets.hpp"

#include <algorithm>
#include <array>
#include <cstdio>
#include <cstdlib>

namespace tests::fuzz {
namespace {

constexpr auto kTargets = std::to_array<Target>({
    {"framer", framer, ""},
    {"server", server, ""},
    {"client", client, ""},
    {"mbap", mbap, ""},
    {"trace", trace, ""},
    {"panels", panels, "host/catalog/panels", 20},
    {"boards", boards, "host/catalog/boards", 20},
    {"cables", cables, "host/catalog/cables", 20},
    {"supplies", supplies, "host/catalog/supplies", 60},
    {"keypads", keypads, "host/catalog/keypads", 60},
    {"kits", kits, "host/catalog/kits", 20},
    {"edid", edid, ""},
    {"edid-file", edid_file, "tests/vectors/edid"},
    {"script", script, "sim/script/examples"},
    {"fault", fault, "", 60},
    {"control", control, "", 60},
    {"memory", memory, ""},
    {"snapshot", snapshot, "", 60},
});

}  // namespace

std::span<const Target> targets() {
  return kTargets;
}

const Target* find_target(std::string_view name) {
  const auto* const found =
      std::find_if(kTargets.begin(), kTargets.end(), [&](const Target& one) { return one.name == name; });
  return found == kTargets.end() ? nullptr : found;
}

void must(bool holds, std::string_view promise) {
  if (holds) return;
  std::fprintf(stderr, "fuzz: doesn't hold: %.*s\n", static_cast<int>(promise.size()), promise.data());
  std::abort();
}

std::string source_path(std::string_view path) {
  return std::string{STRAPLINE_FUZZ_SOURCE} + "/" + std::string{path};
}

}  // namespace tests::fuzz
