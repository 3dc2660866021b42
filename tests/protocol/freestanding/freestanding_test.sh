#!/bin/sh
# Compiles every source of protocol/ as a microcontroller would and looks at what the objects ask of the
# outside: no heap, no exceptions, no clock, no I/O, no way to die. What the compiler itself calls in any
# freestanding program (memcpy, memmove, memset, memcmp) is allowed, and nothing else.
#
# Then the same look at a file that does use the heap, an exception and a clock, which must be caught: a
# check that finds nothing anywhere would pass for ever.
set -eu

source_dir=${1:?usage: freestanding_test.sh SOURCE_DIR [COMPILER]}
compiler=${2:-c++}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

compile() {
  "$compiler" -std=c++20 -Os -ffreestanding -fno-exceptions -fno-rtti -DNDEBUG -Wall -Wextra -Werror \
    -I "$source_dir" -c "$1" -o "$2"
}

# Links the objects into one, so that what the rooms give each other drops out, and lists the rest.
foreign_symbols() {
  ld -r -o "$work/whole.o" "$@"
  nm -u "$work/whole.o" | awk '{print $NF}' | grep -vxE 'mem(cpy|move|set|cmp)|_GLOBAL_OFFSET_TABLE_' || true
}

cd "$source_dir"
set -- protocol/*/*.cpp
objects=
for file in "$@"; do
  object=$work/$(echo "$file" | tr / _).o
  compile "$file" "$object"
  objects="$objects $object"
done
# shellcheck disable=SC2086  # a list of names of our own making, without spaces
found=$(foreign_symbols $objects)
if [ -n "$found" ]; then
  echo "protocol/ asks for:" >&2
  echo "$found" | c++filt >&2
  exit 1
fi

cat > "$work/hosted.cpp" <<'CODE'
#include <ctime>
#include <memory>
#include <vector>
int hosted(std::size_t at) {
  const std::vector<int> heap(at);
  return heap.at(at) + static_cast<int>(std::time(nullptr));
}
CODE
"$compiler" -std=c++20 -Os -DNDEBUG -c "$work/hosted.cpp" -o "$work/hosted.o"
hosted=$(foreign_symbols "$work/hosted.o" | c++filt)
for symbol in 'operator new' 'std::__throw_' time; do
  if ! echo "$hosted" | grep -q "$symbol"; then
    echo "the check no longer sees $symbol in a file that uses it" >&2
    exit 1
  fi
done
echo "$# files of protocol/ ask for nothing but memcpy and its kin"
