#pragma once

#include <optional>
#include <span>
#include <string>

#include <tl/expected.hpp>

#include "host/signal/edid.hpp"

namespace host::signal {

/// Eighteen bytes as a descriptor. What breaks the rules of its kind comes back whole as OtherDescriptor, so
/// that encode_descriptor always gives the bytes back.
[[nodiscard]] Descriptor decode_descriptor(const DescriptorBytes& bytes);

/// Why the bytes of an OtherDescriptor aren't one of the kinds that are taken apart; nothing for kinds that
/// never are (colour points, established timings III and such).
[[nodiscard]] std::optional<std::string> why_not_decoded(const DescriptorBytes& bytes);

/// A descriptor as bytes. Errors: the figure that doesn't fit its field, one sentence.
[[nodiscard]] tl::expected<DescriptorBytes, std::string> encode_descriptor(const Descriptor& descriptor);

}  // namespace host::signal
