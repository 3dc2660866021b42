// What libFuzzer calls. Built by clang alone; the ordinary build has replay_main.cpp.

#include <cstdio>
#include <cstdlib>
#include <string_view>

#include "tests/fuzz/target.hpp"

namespace {

const tests::fuzz::Target* target = nullptr;

}  // namespace

// The target is named by --target=NAME, which libFuzzer itself passes over.
extern "C" int LLVMFuzzerInitialize(int* argc,
                                    char*** argv) {  // NOLINT(readability-identifier-naming): its name
  constexpr std::string_view kOption = "--target=";
  for (const char* const word : std::span{*argv, static_cast<std::size_t>(*argc)}) {
    const std::string_view argument{word};
    if (argument.starts_with(kOption)) target = tests::fuzz::find_target(argument.substr(kOption.size()));
    if (argument != "--list") continue;
    for (const auto& one : tests::fuzz::targets()) {
      std::printf("%.*s %.*s\n", static_cast<int>(one.name.size()), one.name.data(),
                  static_cast<int>(one.seeds.size()), one.seeds.data());
    }
    std::exit(0);
  }
  if (target == nullptr) {
    std::fputs("fuzz: --target=NAME names one of --list\n", stderr);
    std::exit(64);
  }
  return 0;
}

// NOLINTNEXTLINE(readability-identifier-naming): its name
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  target->run({data, size});
  return 0;
}
