#pragma once

#include <chrono>
#include <map>
#include <string>
#include <vector>

#include <sys/types.h>

namespace tests::support {

/// A program to run and its surroundings. Nothing is inherited but the working folder.
struct Launch {
  std::string program;  // a path, or a name looked up in PATH
  std::vector<std::string> arguments;
  std::map<std::string, std::string> environment{};  // beside PATH, which is handed on
  std::chrono::milliseconds time_limit{20'000};
  std::string stdout_to{};  // a file or device in place of a pipe; "-" leaves it closed
};

/// What came of it.
struct Outcome {
  int exit_code = -1;  // 128 + signal where one ended it
  bool timed_out = false;
  std::string out;
  std::string err;
  std::chrono::milliseconds elapsed{};
};

/// A program under way; one that is still there when this goes is killed by its pid.
class Running {
 public:
  explicit Running(const Launch& launch);
  ~Running();
  Running(const Running&) = delete;
  Running& operator=(const Running&) = delete;

  [[nodiscard]] pid_t pid() const { return pid_; }
  /// Standard error as far as it has been read.
  [[nodiscard]] const std::string& err() const { return outcome_.err; }
  void signal(int number) const;

  /// Reads until the program has ended or its time is over, which kills it.
  [[nodiscard]] Outcome finish();

  /// Reads standard output and error until either holds `text`. False when the program ends or its time is
  /// over.
  [[nodiscard]] bool wait_for(const std::string& text);

 private:
  bool pump();  // false once both streams have ended
  void reap(bool kill_it);

  std::chrono::steady_clock::time_point started_;
  std::chrono::steady_clock::time_point deadline_;
  pid_t pid_ = -1;
  int out_ = -1;
  int err_ = -1;
  Outcome outcome_;
};

/// Runs to the end.
[[nodiscard]] Outcome run(const Launch& launch);

/// A program of ours by name, in the folder the build put it.
[[nodiscard]] std::string program_path(const std::string& name);

/// A file of the source tree, by its path from the root.
[[nodiscard]] std::string source_path(const std::string& path);

/// The whole of a file; empty when it can't be read.
[[nodiscard]] std::string file_text(const std::string& path);

/// A folder of its own that goes with this object.
class TemporaryFolder {
 public:
  TemporaryFolder();
  ~TemporaryFolder();
  TemporaryFolder(const TemporaryFolder&) = delete;
  TemporaryFolder& operator=(const TemporaryFolder&) = delete;

  [[nodiscard]] const std::string& path() const { return path_; }

  /// Writes a file, with the folders above it. Returns its path.
  std::string write(const std::string& name, const std::string& text) const;

 private:
  std::string path_;
};

}  // namespace tests::support
