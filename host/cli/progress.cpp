#include "host/cli/progress.hpp"

#include <cstdio>
#include <string_view>

namespace host::cli {
namespace {

constexpr std::size_t kColumnsUsual = 80;

bool continues(char octet) {
  return (static_cast<unsigned char>(octet) & 0xC0U) == 0x80U;
}

}  // namespace

std::string fitted(const std::string& text, std::size_t columns) {
  constexpr std::string_view kLeftOut = "...";
  if (text.size() <= columns) return text;
  if (columns <= kLeftOut.size()) return std::string{kLeftOut.substr(0, columns)};
  const std::size_t kept = columns - kLeftOut.size();
  std::size_t head = kept / 2;
  std::size_t tail = text.size() - (kept - head);
  while (head > 0 && continues(text[head])) --head;
  while (tail < text.size() && continues(text[tail])) ++tail;
  return text.substr(0, head).append(kLeftOut).append(text, tail);
}

// The last column stays free: some terminals wrap when it is written.
Progress::Progress(bool shows, int columns)
    : shows_{shows}, columns_{(columns > 1 ? static_cast<std::size_t>(columns) : kColumnsUsual) - 1} {}

Progress::~Progress() {
  show("");
}

void Progress::show(const std::string& text) {
  if (!shows_) return;
  const std::lock_guard alone{mutex_};
  const std::string line = fitted(text, columns_);
  const std::size_t blanks = shown_ > line.size() ? shown_ - line.size() : 0;
  std::fputs((line + std::string(blanks, ' ') + '\r').c_str(), stderr);
  shown_ = line.size();
}

}  // namespace host::cli
