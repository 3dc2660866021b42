#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>

namespace tests::fuzz {

using Octets = std::span<const std::uint8_t>;

/// Something that reads what others wrote, and what must hold whatever it is given.
struct Target {
  std::string_view name;
  void (*run)(Octets input);
  std::string_view
      seeds;  // a folder of the tree whose files are seeds as well as those in corpus/NAME, or empty
  unsigned mutants = 200;  // of each seed in the ordinary test run; fewer where one input takes long
};

/// Every target, in the order they are documented.
[[nodiscard]] std::span<const Target> targets();

/// The target of this name, or nullptr.
[[nodiscard]] const Target* find_target(std::string_view name);

/// Ends the program with what was promised and doesn't hold; whoever runs the targets keeps the input.
void must(bool holds, std::string_view promise);

/// A path of the source tree.
[[nodiscard]] std::string source_path(std::string_view path);

[[nodiscard]] inline std::string text_of(Octets input) {
  return {input.begin(), input.end()};
}

/// Takes an input apart from its front. Past the end everything is zero.
class Input {
 public:
  explicit Input(Octets octets) : octets_{octets} {}

  [[nodiscard]] bool empty() const { return octets_.empty(); }

  std::uint8_t octet() {
    if (octets_.empty()) return 0;
    const std::uint8_t first = octets_.front();
    octets_ = octets_.subspan(1);
    return first;
  }

  std::uint16_t word() {
    const std::uint8_t high = octet();
    return static_cast<std::uint16_t>(high << 8 | octet());
  }

  /// As many octets as there are, at most `size_max`.
  Octets take(std::size_t size_max) {
    const Octets front = octets_.first(size_max < octets_.size() ? size_max : octets_.size());
    octets_ = octets_.subspan(front.size());
    return front;
  }

 private:
  Octets octets_;
};

}  // namespace tests::fuzz
