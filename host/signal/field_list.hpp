#pragma once

#include <cstdint>
#include <initializer_list>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "host/signal/edid.hpp"
#include "host/signal/edid_fields.hpp"

namespace host::signal {

/// Gathers the fields of an EDID.
class FieldList {
 public:
  void add(std::string name, std::string_view value, std::size_t offset) {
    fields_.push_back({std::move(name), std::string(value), offset});
  }
  /// All fields of one descriptor, their names behind `prefix`.
  void descriptor(const std::string& prefix, const Descriptor& descriptor, std::size_t offset);

  [[nodiscard]] std::vector<EdidField> take() { return std::move(fields_); }

  [[nodiscard]] static std::string_view yes_or_no(bool value) { return value ? "yes" : "no"; }
  /// The words whose condition holds, or "none".
  [[nodiscard]] static std::string joined(std::initializer_list<std::pair<bool, std::string_view>> words);
  /// "02 03 1F".
  [[nodiscard]] static std::string hex_of(std::span<const std::uint8_t> bytes);

 private:
  std::vector<EdidField> fields_;
};

}  // namespace host::signal
