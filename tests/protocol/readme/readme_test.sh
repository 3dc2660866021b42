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
as_target=(-std=c++20 -Os -ffreestanding -fno-exceptions -fno-rtti -Wall -Wextra -Wconversion -Werror -I "$source_dir")
"${2:-c++}" "${as_target[@]}" -c "$work/board.cpp" -o "$work/board.o"
if command -v arm-none-eabi-g++ >/dev/null; then # as scripts/footprint does
  arm-none-eabi-g++ -mcpu=cortex-m0plus -mthumb "${as_target[@]}" -c "$work/board.cpp" -o "$work/board.o"
fi

# What is left to ask for is the server and the four functions that the text says a board has.
asked=$(nm -u "$work/board.o" | c++filt | sed -E 's/^ *U //; s/\(.*//' | sort -u)
named='microseconds_now|uart_received|uart_send|rail_mv|protocol::session::(Device|BasicServer<.*>)::.*'
compilers='mem(cpy|move|set)|__aeabi_.*|_GLOBAL_OFFSET_TABLE_'
grep -qx uart_send <<<"$asked" # else nm saw nothing
strangers=$(grep -vxE "$named|$compilers" <<<"$asked" || true)
if [[ -n $strangers ]]; then
  printf 'the server of protocol/README.md asks for more than it says:\n%s\n' "$strangers" >&2
  exit 1
fi
