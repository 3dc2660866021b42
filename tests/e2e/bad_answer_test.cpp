#include <random>

#include <doctest/doctest.h>

#include "tests/e2e/relay.hpp"
#include "tests/e2e/strapline.hpp"

using namespace tests::e2e;
using tests::support::Outcome;
using tests::support::run;

namespace {

constexpr const char* kKit = "ticket-machine";

Outcome verified_over(Relay& relay) {
  auto launch = strapline({"verify", kKit, "--link", relay.link(), "--timeout", "3s", "--json"});
  return run(launch);
}

// A line that mangles may end in "incomplete" or "no valid answer"; never in a pass, and never as if a sound
// unit had failed.
void check_no_verdict(const Outcome& outcome) {
  INFO(outcome.err);
  CHECK((outcome.exit_code == 2 || outcome.exit_code == 69));
  CHECK(holds(outcome.out, "\"verdict\": \"incomplete\""));
  CHECK(outcome.elapsed.count() < 5000);
}

}  // namespace

TEST_SUITE("e2e/bad_answer") {
  TEST_CASE("the line by itself harms nothing") {
    Relay relay{kKit, [](const Frame& answer, int) { return std::vector<Frame>{answer}; }};
    const Outcome outcome = verified_over(relay);
    INFO(outcome.err);
    CHECK(outcome.exit_code == 0);
    CHECK(relay.answers() > 3);
  }

  TEST_CASE("garbage in place of answers is never a pass") {
    std::mt19937 random{20};
    Relay relay{kKit, [&random](const Frame& answer, int) {
                  Frame garbage(answer.size());
                  for (auto& octet : garbage) octet = static_cast<std::uint8_t>(random());
                  return std::vector<Frame>{garbage};
                }};
    check_no_verdict(verified_over(relay));
    CHECK(relay.answers() > 0);
  }

  TEST_CASE("one flipped bit in every answer is never a pass") {
    Relay relay{kKit, [](const Frame& answer, int number) {
                  Frame flipped = answer;
                  flipped[static_cast<std::size_t>(number) % flipped.size()] ^= 0x10U;
                  return std::vector<Frame>{flipped};
                }};
    check_no_verdict(verified_over(relay));
    CHECK(relay.answers() > 0);
  }

  TEST_CASE("truncated answers are never a pass") {
    Relay relay{
        kKit, [](const Frame& answer, int number) {
          const std::size_t lost = 1 + static_cast<std::size_t>(number) % (answer.size() - 1);
          return std::vector<Frame>{Frame(answer.begin(), answer.end() - static_cast<std::ptrdiff_t>(lost))};
        }};
    check_no_verdict(verified_over(relay));
    CHECK(relay.answers() > 0);
  }

  TEST_CASE("stale answers, each the one before, are never a pass") {
    Frame before;
    Relay relay{kKit, [&before](const Frame& answer, int) {
                  std::vector<Frame> sent;
                  if (!before.empty()) sent.push_back(before);
                  before = answer;
                  return sent;
                }};
    check_no_verdict(verified_over(relay));
    CHECK(relay.answers() > 1);
  }

  TEST_CASE("doubled answers are never a pass") {
    Relay relay{kKit, [](const Frame& answer, int) { return std::vector<Frame>{answer, answer}; }};
    check_no_verdict(verified_over(relay));
    CHECK(relay.answers() > 0);
  }

  TEST_CASE("answers of another unit are never a pass") {
    Relay relay{kKit, [](const Frame& answer, int) {
                  Frame foreign = answer;
                  foreign[0] = 9;
                  return std::vector<Frame>{sealed(foreign)};
                }};
    check_no_verdict(verified_over(relay));
    CHECK(relay.answers() > 0);
  }

  TEST_CASE("a unit that refuses everything is never a pass") {
    Relay relay{kKit, [](const Frame& answer, int) {
                  Frame refusal{answer[0], static_cast<std::uint8_t>(answer[1] | 0x80U), 2, 0, 0};
                  return std::vector<Frame>{sealed(refusal)};
                }};
    const Outcome outcome = verified_over(relay);
    CHECK((outcome.exit_code == 2 || outcome.exit_code == 65 || outcome.exit_code == 69));
    CHECK(relay.answers() > 0);
  }

  TEST_CASE("a unit that dies midway is incomplete, wherever it dies") {
    for (int alive = 2; alive < 8; ++alive) {
      CAPTURE(alive);
      Relay relay{kKit, [alive](const Frame& answer, int number) {
                    return number < alive ? std::vector<Frame>{answer} : std::vector<Frame>{};
                  }};
      auto launch = strapline({"verify", kKit, "--link", relay.link(), "--timeout", "1500ms", "--json"});
      const Outcome outcome = run(launch);
      if (relay.answers() <= alive) {
        CHECK(outcome.exit_code == 0);  // it had said all it was asked
      } else {
        check_no_verdict(outcome);
      }
    }
  }
}
