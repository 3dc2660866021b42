#pragma once

#include <span>

#include "host/model/board.hpp"
#include "host/model/kit.hpp"
#include "host/model/panel.hpp"
#include "host/model/strap.hpp"
#include "host/model/table_reader.hpp"

namespace host::model {

/// The closed lists of words that files may use, and what each word stands for.
template <typename E>
[[nodiscard]] std::span<const Word<E>> words_for();

template <>
std::span<const Word<Status>> words_for();
template <>
std::span<const Word<Mapping>> words_for();
template <>
std::span<const Word<DimmingSense>> words_for();
template <>
std::span<const Word<DimmingKind>> words_for();
template <>
std::span<const Word<LinkKind>> words_for();
template <>
std::span<const Word<LightKind>> words_for();
template <>
std::span<const Word<WireProfile>> words_for();
template <>
std::span<const Word<RegisterTable>> words_for();
template <>
std::span<const Word<RegisterType>> words_for();
template <>
std::span<const Word<Shape>> words_for();
template <>
std::span<const Word<Unlit>> words_for();
template <>
std::span<const Word<OpenEnable>> words_for();
template <>
std::span<const Word<Sync>> words_for();
template <>
std::span<const Word<RailId>> words_for();
template <>
std::span<const Word<RailOrigin>> words_for();
template <>
std::span<const Word<FunctionId>> words_for();
template <>
std::span<const Word<Toggle>> words_for();
template <>
std::span<const Word<ScanDirection>> words_for();
template <>
std::span<const Word<StrapKind>> words_for();
template <>
std::span<const Word<PowerOn>> words_for();
template <>
std::span<const Word<Polarity>> words_for();

/// What a strap's evidence may be: "not-sensed" stands for Evidence::kUnread.
[[nodiscard]] std::span<const Word<Evidence>> strap_evidence_words();
/// What a point's evidence may be.
[[nodiscard]] std::span<const Word<Evidence>> point_evidence_words();

template <typename E>
[[nodiscard]] std::string_view word_for(E value) {
  return word_of(value, words_for<E>());
}

}  // namespace host::model
