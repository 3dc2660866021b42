#!/usr/bin/env bash
# The server that protocol/README.md shows compiles as a target would compile it, and is as short as it says.
set -euo pipefail

source_dir=${1:?usage: readme_test.sh SOURCE_DIR [COMPILER]}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

awk '/^```/ { inside = /^```cpp/; next } inside' "$source_dir/protocol/README.md" >"$work/board.cpp"
lines=$(wc -l <"$work/board.cpp")
if ((lines < 10 || lines > 30)); then
  printf 'protocol/README.md shows a server of %d lines, not of 10 to 30\n' "$lines" >&2
  exit 1
fi
"${2:-c++}" -std=c++20 -Os -ffreestanding -fno-exceptions -fno-rtti -Wall -Wextra -Wconversion -Werror \
  -I "$source_dir" -c "$work/board.cpp" -o "$work/board.o"
