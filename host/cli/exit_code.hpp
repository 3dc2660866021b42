#pragma once

#include <array>
#include <string_view>

namespace host::cli {

/// How the program ends; scripts rely on these numbers. From 64 on they are those of sysexits.h, and
/// 128 + signal by a signal. Source  FreeBSD sysexits(3).
enum class ExitCode : int {
  kPass = 0,
  kFail = 1,
  kIncomplete = 2,
  kUsage = 64,
  kData = 65,
  kNoInput = 66,
  kUnavailable = 69,
  kOurs = 70,
  kCantCreate = 73,
  kInputOutput = 74,
  kPermission = 77,
  kHangup = 129,
  kInterrupted = 130,
  kTerminated = 143,
};

struct ExitMeaning {
  ExitCode code;
  std::string_view meaning;
};

/// The one table of exit codes; the help prints it.
inline constexpr std::array kExitMeanings{
    ExitMeaning{ExitCode::kPass, "pass"},
    ExitMeaning{ExitCode::kFail, "fail: something is not as the kit says"},
    ExitMeaning{ExitCode::kIncomplete, "incomplete: something that must be known isn't"},
    ExitMeaning{ExitCode::kUsage, "the command line can't be read, or names what doesn't exist on the board"},
    ExitMeaning{ExitCode::kData, "a file is malformed; the place is named"},
    ExitMeaning{ExitCode::kNoInput, "no such kit, file or port; what there is, is named"},
    ExitMeaning{ExitCode::kUnavailable,
                "no valid answer from the unit at all; verify still writes its document"},
    ExitMeaning{ExitCode::kOurs, "a mistake of this program"},
    ExitMeaning{ExitCode::kCantCreate, "an output file can't be created"},
    ExitMeaning{ExitCode::kInputOutput, "input or output failed, or the port is busy"},
    ExitMeaning{ExitCode::kPermission, "no permission; the group to join is named"},
    ExitMeaning{ExitCode::kHangup, "ended by SIGHUP"},
    ExitMeaning{ExitCode::kInterrupted, "ended by Ctrl-C"},
    ExitMeaning{ExitCode::kTerminated, "ended by SIGTERM"},
};

}  // namespace host::cli
