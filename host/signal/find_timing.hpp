#pragma once

#include <string>
#include <string_view>

#include <tl/expected.hpp>

#include "host/model/timing.hpp"

namespace host::signal {

/// Finds a timing by the name a standard gives it.
///
/// Takes    "dmt 52h"                           VESA DMT, hexadecimal id
///          "cta 16"                            CTA-861, video identification code
///          "cta 16/1.001"                      the same at 59.94 Hz; "cta 3*1.001" where 59.94 Hz is listed
///          "gtf 640 x 480 @ 60 Hz"             VESA GTF 1.1
///          "cvt 1920 x 1080 @ 60 Hz"           VESA CVT 1.2, standard blanking
///          "cvt-rb 1920 x 1080 @ 59.94 Hz"     reduced blanking; the rate has up to three decimals
///          "cvt-rb2 1920 x 1080 @ 60/1.001 Hz" reduced blanking v2, which alone has exact video rates
///          "cvt 1920 x 1080i @ 60 Hz"          interlaced, the rate being that of fields
///          Blanks are free between the parts; the words are in lower case.
/// Errors   one sentence that says what is wrong and what would be right.
[[nodiscard]] tl::expected<model::Timing, std::string> find_timing(std::string_view name);

}  // namespace host::signal
