#!/usr/bin/env bash
# The server is inside its limits on the target, and protocol/README.md says what scripts/footprint measures. Then the
# same with a server that has grown, which must be refused: a check that never fails proves nothing.
set -euo pipefail

source_dir=${1:?usage: footprint_test.sh SOURCE_DIR}
command -v arm-none-eabi-g++ >/dev/null || exit 77

figures=$("$source_dir/scripts/footprint" --json)
field() { sed -E "s/.*\"$1\":\"?([0-9a-z_ ]+).*/\1/" <<<"$figures"; }
failed=no
for row in "text|text" "text with the profile's table|text_with_table" "memory a port|ram" "deepest stack|stack"; do
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
sed -i 's/^int request_size(base::Octets pdu) {/&\n  std::uint8_t much[200];\n  asm volatile("" : : "r"(much) : "memory");/' \
  "$grown/protocol/pdu/length.cpp"
if said=$("$grown/scripts/footprint" 2>&1); then
  printf 'a frame of 200 octets more was let through:\n%s\n' "$said" >&2
  failed=yes
fi
[[ $failed == no ]]
