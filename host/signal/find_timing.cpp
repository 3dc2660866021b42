#include "host/signal/find_timing.hpp"

#include <algorithm>
#include <charconv>
#include <optional>
#include <span>

#include "host/signal/cvt.hpp"
#include "host/signal/gtf.hpp"
#include "host/signal/timing_table.hpp"

namespace host::signal {
namespace {

using Found = tl::expected<model::Timing, std::string>;

// What is left of a name, read from its front.
class Words {
 public:
  explicit Words(std::string_view text) : rest_(text) {}

  bool take(std::string_view word) {
    skip_blanks();
    if (!rest_.starts_with(word)) return false;
    rest_.remove_prefix(word.size());
    return true;
  }

  // An unsigned number of at most nine digits.
  std::optional<std::int64_t> number(int base = 10) {
    skip_blanks();
    std::uint32_t value = 0;
    const std::size_t most = std::min<std::size_t>(rest_.size(), 9);
    const char* const first = rest_.data();
    const auto [end, error] = std::from_chars(first, first + most, value, base);
    if (error != std::errc{} || end == first) return std::nullopt;
    rest_.remove_prefix(static_cast<std::size_t>(end - first));
    return value;
  }

  // Digits after a point, as thousandths: "94" is 940.
  std::optional<std::int64_t> thousandths() {
    std::int64_t value = 0;
    std::size_t digits = 0;
    for (; digits < rest_.size() && rest_[digits] >= '0' && rest_[digits] <= '9'; ++digits) {
      if (digits == 3) return std::nullopt;
      value = value * 10 + (rest_[digits] - '0');
    }
    rest_.remove_prefix(digits);
    if (digits == 0) return std::nullopt;
    for (; digits < 3; ++digits) value *= 10;
    return value;
  }

  bool at_end() {
    skip_blanks();
    return rest_.empty();
  }

 private:
  void skip_blanks() {
    while (!rest_.empty() && rest_.front() == ' ') rest_.remove_prefix(1);
  }
  std::string_view rest_;
};

Found in_table(std::span<const StandardTiming> table, std::int64_t number, std::string_view range) {
  const auto row = std::ranges::find(table, number, &StandardTiming::number);
  if (row == table.end())
    return tl::unexpected("there is no such number in that table; it has " + std::string(range));
  return to_timing(*row);
}

Found dmt(Words words) {
  const auto id = words.number(16);
  if (!id || !words.take("h") || !words.at_end()) {
    return tl::unexpected(std::string("a DMT timing is written as \"dmt 52h\""));
  }
  return in_table(dmt_timings(), *id, "01h to 58h");
}

Found cta(Words words) {
  const auto code = words.number();
  const bool divided = words.take("/1.001");
  const bool multiplied = !divided && words.take("*1.001");
  if (!code || !words.at_end()) return tl::unexpected(std::string("a CTA timing is written as \"cta 16\""));
  const Found listed = in_table(cta_timings(), *code, "1 to 127 and 193 to 219");
  if (!listed || !(divided || multiplied)) return listed;
  const auto other = at_other_rate(*std::ranges::find(cta_timings(), *code, &StandardTiming::number));
  if (!other || (other->pixel_clock < listed->pixel_clock) != divided) {
    return tl::unexpected(std::string(
        "that code has no such rate; only rates that are multiples of 6 Hz run at 1/1.001 of it too"));
  }
  return *other;
}

// "1920 x 1080i @ 59.94 Hz", what a formula is asked for.
tl::expected<CvtRequest, std::string> request_in(Words words) {
  const auto malformed = [] {
    return tl::unexpected(std::string("a computed timing is written as \"cvt-rb 1920 x 1080 @ 60 Hz\""));
  };
  CvtRequest request;
  const auto columns = words.number();
  if (!columns || !words.take("x")) return malformed();
  const auto lines = words.number();
  if (!lines) return malformed();
  request.interlaced = words.take("i");
  if (!words.take("@")) return malformed();
  const auto hertz = words.number();
  if (!hertz) return malformed();
  request.rate = {*hertz * 1000};
  if (words.take("/1.001")) {
    request.video_rate = true;
  } else if (words.take(".")) {
    const auto fraction = words.thousandths();
    if (!fraction) return tl::unexpected(std::string("a rate has at most three decimals, as \"59.94 Hz\""));
    request.rate.count += *fraction;
  }
  if (!words.take("Hz") || !words.at_end()) return malformed();
  request.columns = {*columns};
  request.lines = {*lines};
  return request;
}

Found coordinated(Words words, Blanking blanking) {
  auto request = request_in(words);
  if (!request) return tl::unexpected(request.error());
  request->blanking = blanking;
  return cvt(*request);
}

Found generalised(Words words) {
  const auto request = request_in(words);
  if (!request) return tl::unexpected(request.error());
  if (request->video_rate)
    return tl::unexpected(std::string("write the rate of a gtf timing as \"59.94 Hz\""));
  return gtf({request->columns, request->lines, request->rate, request->interlaced});
}

}  // namespace

Found find_timing(std::string_view name) {
  Words words(name);
  if (words.take("dmt ")) return dmt(words);
  if (words.take("cta ")) return cta(words);
  if (words.take("cvt-rb2 ")) return coordinated(words, Blanking::kReducedV2);
  if (words.take("cvt-rb ")) return coordinated(words, Blanking::kReduced);
  if (words.take("cvt ")) return coordinated(words, Blanking::kStandard);
  if (words.take("gtf ")) return generalised(words);
  return tl::unexpected(std::string(
      "no standard has a timing of that name; write \"dmt 52h\", \"cta 16\", \"cvt 1920 x 1080 @ 60 Hz\", "
      "\"cvt-rb …\", \"cvt-rb2 …\" or \"gtf …\""));
}

}  // namespace host::signal
