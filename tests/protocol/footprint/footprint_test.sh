#!/usr/bin/env bash
# The server is inside its limits on the target, and protocol/README.md says what scripts/footprint measures. Then the
# same with a server that has grown, which must be refused by name: a check that never fails proves nothing.
set -euo pipefail

source_dir=${1:?usage: footprint_test.sh SOURCE_DIR}
command -v arm-none-eabi-g++ >/dev/null || exit 77

figures=$("$source_dir/scripts/footprint" --json)
field() { sed -E "s/.*\"$1\":\"?([0-9a-z_ ]+).*/\1/" <<<"$figures"; }
failed=no
for row in "text|text" "text with the profile's table|text_with_table" "data|data" "bss|bss" \
  "memory outside the server's object|outside" "deepest stack|stack"; do
  said=$(sed -nE "s/^\| ${row%|*} \| ([0-9]+) \|.*/\1/p" "$source_dir/protocol/README.md")
  if [[ $said != "$(field "${row#*|}")" ]]; then
    printf 'protocol/README.md says "%s" of %s, measured is %s\n' "$said" "${row%|*}" "$(field "${row#*|}")" >&2
    failed=yes
  fi
done

grown=$(mktemp -d)
trap 'rm -rf "$grown"' EXIT
mkdir "$grown/tests" "$grown/tests/protocol"
cp -r "$source_dir/scripts" "$source_dir/protocol" "$grown/"
cp -r "$source_dir/tests/protocol/footprint" "$grown/tests/protocol/"
refuses() { # refuses WHAT GROWTH WORDS: what is put into a function, and a pattern of what is said of it
  local said
  sed "s/^int request_size(base::Octets pdu) {/&\n  $2/" "$source_dir/protocol/pdu/length.cpp" \
    >"$grown/protocol/pdu/length.cpp"
  if said=$("$grown/scripts/footprint" 2>&1); then
    printf '%s was let through:\n%s\n' "$1" "$said" >&2
    failed=yes
  elif ! grep -qE "$3" <<<"$said"; then
    printf '%s was refused for something else than "%s":\n%s\n' "$1" "$3" "$said" >&2
    failed=yes
  fi
}
use='asm volatile("" : : "r"(much) : "memory");'
refuses "a frame of 200 octets more" "std::uint8_t much[200]; $use" 'deepest stack.*too much'
refuses "a static of 2000 octets" "static std::uint8_t much[2000]; $use" 'outside the object.* 2000 octets.*too much'
refuses "a static that is more than zeros" "static std::uint8_t much[4]{1}; $use" 'outside the object.* 4 octets.*too much'
refuses "an array from the heap" "auto *much = new std::uint8_t[pdu.size()]; $use" \
  'the heap: operator new\[\].*, at protocol.pdu.length\.cpp:'
[[ $failed == no ]]
