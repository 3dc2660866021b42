#include "host/cli/signal_requests.hpp"

#include <algorithm>
#include <charconv>

#include "host/model/quantity_text.hpp"

namespace host::cli {
namespace {

// Measured values are read one by one; the first complaint is kept.
class Reader {
 public:
  explicit Reader(const CommandLine& line) : line_{line} {}

  // A decimal number in `unit`: "67.5", or with the unit written out.
  template <typename Q>
  std::optional<Q> quantity(std::string_view option, std::string_view unit) {
    const auto text = line_.value(option);
    if (!text) return std::nullopt;
    auto value = model::parse<Q>(*text + ' ' + std::string{unit});
    if (!value) value = model::parse<Q>(*text);
    if (!value || value->count <= 0) {
      complain(option, *text, "a number of " + std::string{unit} + " above 0 is meant");
      return std::nullopt;
    }
    return *value;
  }

  std::optional<model::Pixels> pixels(std::string_view option) {
    constexpr int kPixelsMax = 65'535;
    const auto text = line_.value(option);
    if (!text) return std::nullopt;
    int number = 0;
    const auto [end, error] = std::from_chars(text->data(), text->data() + text->size(), number);
    if (error != std::errc{} || end != text->data() + text->size() || number < 1 || number > kPixelsMax) {
      complain(option, *text, "a whole number from 1 to 65535 is meant");
      return std::nullopt;
    }
    return model::Pixels{number};
  }

  std::optional<bool> either(std::string_view option, std::string_view yes, std::string_view no) {
    const auto text = line_.value(option);
    if (!text) return std::nullopt;
    if (*text != yes && *text != no)
      complain(option, *text, std::string{yes} + " or " + std::string{no} + " is meant");
    return *text == yes;
  }

  std::optional<model::Polarity> polarity(std::string_view option) {
    const auto positive = either(option, "positive", "negative");
    if (!positive) return std::nullopt;
    return *positive ? model::Polarity::kPositive : model::Polarity::kNegative;
  }

  [[nodiscard]] const std::string& complaint() const { return complaint_; }

 private:
  void complain(std::string_view option, const std::string& text, const std::string& right) {
    if (complaint_.empty()) complaint_ = std::string{option} + ": '" + text + "' can't be right; " + right;
  }

  const CommandLine& line_;
  std::string complaint_;
};

}  // namespace

tl::expected<EdidShowRequest, std::string> edid_show_request(const CommandLine& line) {
  return EdidShowRequest{line.arguments.front(), line.has("--json")};
}

tl::expected<EdidDiffRequest, std::string> edid_diff_request(const CommandLine& line) {
  EdidDiffRequest request{line.arguments[0], line.arguments[1], line.has("--json")};
  if (request.left == "-" && request.right == "-")
    return tl::unexpected{std::string{"edid diff: only one of A and B can come from standard input"}};
  return request;
}

tl::expected<EdidMakeRequest, std::string> edid_make_request(const CommandLine& line) {
  EdidMakeRequest request;
  request.kit = line.arguments.front();
  request.path = line.value("--output").value_or("");
  request.as_text = request.path.ends_with(".txt") || request.path.ends_with(".hex");
  if (!request.as_text && !request.path.ends_with(".bin")) {
    return tl::unexpected{"--output: '" + request.path +
                          "' ends in none of .bin, .txt and .hex, which say how to write it"};
  }
  request.maker = line.value("--maker").value_or("");
  const bool letters =
      request.maker.size() == 3 && std::all_of(request.maker.begin(), request.maker.end(),
                                               [](char letter) { return letter >= 'A' && letter <= 'Z'; });
  if (!letters)
    return tl::unexpected{"--maker: '" + request.maker + "' is not three capital letters, as in QZX"};
  const std::string year = line.value("--year").value_or("");
  const auto [end, error] = std::from_chars(year.data(), year.data() + year.size(), request.year);
  if (error != std::errc{} || end != year.data() + year.size() || request.year < 2000 || request.year > 2245)
    return tl::unexpected{"--year: '" + year + "' is no year from 2000 to 2245"};
  return request;
}

tl::expected<TimingMakeRequest, std::string> timing_make_request(const CommandLine& line) {
  return TimingMakeRequest{line.arguments.front(), line.has("--json")};
}

tl::expected<TimingIdentifyRequest, std::string> timing_identify_request(const CommandLine& line) {
  Reader reader{line};
  TimingIdentifyRequest request;
  request.json = line.has("--json");
  auto& measured = request.measured;
  measured.pixel_clock = reader.quantity<model::Hertz>("--clock-mhz", "MHz");
  measured.line_rate = reader.quantity<model::Hertz>("--h-khz", "kHz");
  measured.vertical_rate = reader.quantity<model::Millihertz>("--v-hz", "Hz");
  measured.h_active = reader.pixels("--h-active");
  measured.h_total = reader.pixels("--h-total");
  measured.v_active = reader.pixels("--v-active");
  measured.v_total = reader.pixels("--v-total");
  measured.h_polarity = reader.polarity("--h-polarity");
  measured.v_polarity = reader.polarity("--v-polarity");
  measured.interlaced = reader.either("--interlaced", "yes", "no");
  if (!reader.complaint().empty()) return tl::unexpected{reader.complaint()};
  const bool counts = measured.pixel_clock || measured.line_rate || measured.vertical_rate ||
                      measured.h_active || measured.h_total || measured.v_active || measured.v_total;
  if (!counts) {
    return tl::unexpected{
        std::string{"timing identify needs something that was measured: --h-khz, --v-hz, "
                    "--clock-mhz, or a count of pixels or lines"}};
  }
  return request;
}

}  // namespace host::cli
