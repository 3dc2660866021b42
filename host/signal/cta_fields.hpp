#pragma once

#include <cstddef>
#include <string>

#include "host/signal/edid.hpp"
#include "host/signal/field_list.hpp"

namespace host::signal {

/// All fields of a CTA-861 extension whose block starts at `at`, their names behind `prefix`.
void add_cta_fields(FieldList& fields, const std::string& prefix, const CtaExtension& cta, std::size_t at);

}  // namespace host::signal
