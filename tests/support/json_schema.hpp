#pragma once

#include <string>
#include <vector>

namespace tests::support {

/// Holds `document` against `schema`, both JSON as text.
///
/// Shape    the part of JSON Schema that our schemas use: type, enum, const, properties, required,
///          additionalProperties, items, minItems, minimum, maximum, minLength, pattern, anyOf, and $ref to
///          "#/$defs/…". A keyword outside it is a complaint, so that no rule is passed over in silence.
/// Returns  complaints, each with its place ("/findings/0/id: …"); none when the document conforms. A text
/// that is
///          no JSON is a complaint, and so are duplicate keys.
[[nodiscard]] std::vector<std::string> schema_complaints_of_text(const std::string& schema,
                                                                 const std::string& document);

/// The text of a file of the source tree, by its path there. A missing one fails the test.
[[nodiscard]] std::string shipped_text(const std::string& path);

}  // namespace tests::support
