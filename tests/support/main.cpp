#define DOCTEST_CONFIG_IMPLEMENT
#include <doctest/doctest.h>

#include "tests/support/skip.hpp"

namespace tests::support {
namespace {

bool is_skipped = false;

}  // namespace

void skip(const std::string& why) {
  MESSAGE(why);
  is_skipped = true;
}

}  // namespace tests::support

int main(int count, char** words) {
  constexpr int kSkipped = 77;
  const int code = doctest::Context{count, words}.run();
  return code == 0 && tests::support::is_skipped ? kSkipped : code;
}
