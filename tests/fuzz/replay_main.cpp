// Every target on its seeds and on mutants of them: what the fuzzer has found stays found, without a fuzzer.
//
// usage: fuzz_replay [NAME [FILE]]

#include <algorithm>
#include <array>
#include <csignal>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <random>
#include <vector>

#include <fcntl.h>
#include <unistd.h>

#include "tests/fuzz/target.hpp"

namespace {

namespace fs = std::filesystem;
using tests::fuzz::Target;
using Bytes = std::vector<std::uint8_t>;

constexpr std::size_t kSizeMax = 8'192;  // of a seed that is mutated

Bytes under_way;

// Whatever ends the program early, the input that did it stays, in the folder it was started in.
void keep(int signal) {
  const int file = ::open("fuzz-crash", O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
  (void)!::write(file, under_way.data(), under_way.size());
  constexpr std::string_view kWords = "fuzz: the input is kept as fuzz-crash; fuzz_replay NAME fuzz-crash\n";
  (void)!::write(STDERR_FILENO, kWords.data(), kWords.size());
  (void)std::signal(signal, SIG_DFL);
  (void)std::raise(signal);
}

Bytes read(const fs::path& path) {
  std::ifstream file{path, std::ios::binary};
  return {std::istreambuf_iterator<char>{file}, {}};
}

std::vector<fs::path> files_of(const fs::path& folder) {
  std::vector<fs::path> files;
  std::error_code none;
  for (const auto& entry : fs::directory_iterator{folder, none}) {
    if (entry.is_regular_file()) files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  return files;
}

// A few octets changed, taken out, doubled or moved.
Bytes mutant(Bytes octets, std::mt19937& random) {
  constexpr std::array<std::uint8_t, 8> kTelling{0x00, 0xFF, 0x7F, 0x80, '"', '\n', '-', '9'};
  for (unsigned changes = 1 + random() % 4; changes > 0 && !octets.empty(); --changes) {
    const auto at = static_cast<std::ptrdiff_t>(random() % octets.size());
    const auto size =
        static_cast<std::ptrdiff_t>(random() % (octets.size() - static_cast<std::size_t>(at)) % 32);
    switch (random() % 5) {
      case 0: octets[static_cast<std::size_t>(at)] = static_cast<std::uint8_t>(random()); break;
      case 1: octets[static_cast<std::size_t>(at)] = kTelling.at(random() % kTelling.size()); break;
      case 2: octets.erase(octets.begin() + at, octets.begin() + at + size); break;
      case 3: {
        const Bytes piece{octets.begin() + at, octets.begin() + at + size};
        octets.insert(octets.begin() + static_cast<std::ptrdiff_t>(random() % octets.size()), piece.begin(),
                      piece.end());
        break;
      }
      default: octets.resize(octets.size() - random() % std::min<std::size_t>(octets.size(), 32)); break;
    }
  }
  return octets;
}

void run(const Target& target, Bytes input) {
  under_way = std::move(input);
  target.run(under_way);
}

// Gives how many inputs were tried; nothing tried is a mistake of whoever named the seeds.
std::size_t replay(const Target& target, const std::vector<fs::path>& seeds) {
  std::size_t tried = 0;
  for (const fs::path& seed : seeds) {
    const Bytes octets = read(seed);
    std::printf("%.*s %s\n", static_cast<int>(target.name.size()), target.name.data(), seed.c_str());
    (void)std::fflush(stdout);
    run(target, octets);
    ++tried;
    std::mt19937 random{20261129};
    if (octets.size() > kSizeMax) continue;
    for (unsigned n = 0; n < target.mutants; ++n, ++tried) {
      run(target, mutant(octets, random));
    }
  }
  return tried;
}

}  // namespace

int main(int count, char** words) {
  (void)std::signal(SIGABRT, keep);
  (void)std::signal(SIGSEGV, keep);
  const std::span arguments{words, static_cast<std::size_t>(count)};
  const std::string_view name = count > 1 ? arguments[1] : "";
  if (!name.empty() && tests::fuzz::find_target(name) == nullptr) {
    std::fputs("fuzz: no such target\n", stderr);
    return 64;
  }
  for (const Target& target : tests::fuzz::targets()) {
    if (!name.empty() && target.name != name) continue;
    if (count > 2) {
      run(target, read(arguments[2]));
      continue;
    }
    auto seeds = files_of(tests::fuzz::source_path("tests/fuzz/corpus/" + std::string{target.name}));
    if (!target.seeds.empty()) {
      const auto more = files_of(tests::fuzz::source_path(target.seeds));
      seeds.insert(seeds.end(), more.begin(), more.end());
    }
    const std::size_t tried = replay(target, seeds);
    std::printf("%.*s: %zu seeds, %zu inputs\n", static_cast<int>(target.name.size()), target.name.data(),
                seeds.size(), tried);
    if (tried == 0) return 1;
  }
  return 0;
}
