#pragma once

#include <string>
#include <vector>

#include <nlohmann/json_fwd.hpp>

namespace tests::support {

/// Holds `document` against `schema`.
///
/// Shape    the part of JSON Schema that our schemas use: type, enum, const, properties, required,
///          additionalProperties, items, minItems, minimum, maximum, minLength, pattern, anyOf, and $ref to
///          "#/$defs/…". A keyword outside it is a complaint, so that no rule is passed over in silence.
/// Returns  complaints, each with its place ("/findings/0/id: …"); none when the document conforms.
[[nodiscard]] std::vector<std::string> schema_complaints(const nlohmann::json& schema,
                                                         const nlohmann::json& document);

/// The same for texts; a text that is no JSON is a complaint. Duplicate keys are complaints too.
[[nodiscard]] std::vector<std::string> schema_complaints_of_text(const std::string& schema,
                                                                 const std::string& document);

}  // namespace tests::support
