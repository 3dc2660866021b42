#pragma once

#include <cassert>
#include <utility>

namespace protocol::base {

/// A value, or the reason why there is none. No heap, no exceptions; both types are small values that can
/// be default-constructed.
///
/// Precondition of value() and error(): ok() was asked. A broken one is a mistake of ours and asserts.
template <typename T, typename E>
class [[nodiscard]] Result {
 public:
  constexpr Result(T value) : ok_{true}, value_{std::move(value)} {}  // NOLINT(google-explicit-constructor)
  constexpr Result(E error) : error_{std::move(error)} {}             // NOLINT(google-explicit-constructor)

  [[nodiscard]] constexpr bool ok() const { return ok_; }
  constexpr explicit operator bool() const { return ok_; }

  [[nodiscard]] constexpr const T& value() const {
    assert(ok_);
    return value_;
  }
  [[nodiscard]] constexpr const E& error() const {
    assert(!ok_);
    return error_;
  }

 private:
  bool ok_ = false;
  T value_{};
  E error_{};
};

}  // namespace protocol::base
