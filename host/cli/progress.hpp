#pragma once

#include <cstddef>
#include <mutex>
#include <string>

namespace host::cli {

/// `text` in at most `columns` places: what is too much goes from its middle, for its beginning and its end
/// tell the most. Never cut within a UTF-8 character.
[[nodiscard]] std::string fitted(const std::string& text, std::size_t columns);

/// One line on standard error while something lasts, written over each time, by whichever thread, and gone
/// afterwards. It never wraps, for a line that did could not be written over.
class Progress {
 public:
  /// Shows nothing unless `shows`. `columns` of the terminal; 0 where nobody told: 80.
  Progress(bool shows, int columns);
  ~Progress();
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;

  void show(const std::string& text);

 private:
  bool shows_;
  std::size_t columns_;
  std::mutex mutex_;
  std::size_t shown_ = 0;  // octets of the last line, which is at least its width
};

}  // namespace host::cli
