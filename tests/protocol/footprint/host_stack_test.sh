#!/usr/bin/env bash
# Stands in for scripts/footprint where the target's compiler is missing: no frame of unknown size, no recursion and no
# large array on the answering end's stack, told from this machine's compiler. Its frames are some twice as deep.
set -euo pipefail

source_dir=${1:?usage: host_stack_test.sh SOURCE_DIR [COMPILER]}
compiler=${2:-c++}
"$compiler" --version | grep -q "Free Software Foundation" || exit 0 # only gcc writes call graphs
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

cd "$source_dir"
for source in protocol/session/{answer,server}.cpp protocol/rtu/{frame,crc}.cpp protocol/pdu/length.cpp \
  tests/protocol/footprint/minimal.cpp; do
  "$compiler" -std=c++20 -Os -ffreestanding -fno-exceptions -fno-rtti -DNDEBUG -fcallgraph-info=su -I. -c "$source" \
    -o "$work/$(tr / _ <<<"$source").o"
done
depth=$(awk -v root=turn -v indirect=0 -f scripts/footprint.d/stack.awk "$work"/*.ci | head -1)
printf 'deepest stack: %d octets\n' "$depth"
((depth <= 768))
