#include "host/cli/program.hpp"

int main(int count, char** words) {
  return host::cli::run_program({words + (count > 0 ? 1 : 0), words + count});
}
