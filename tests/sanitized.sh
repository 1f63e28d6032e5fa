#!/bin/sh
# `tests/sanitized.sh [PART...]`: tests under AddressSanitizer and UndefinedBehaviorSanitizer. Parts are folders of
# tests/; without any, those that read strangers' files and those that compute from hardpoints. `all`: every test.
set -eu
cd "$(dirname "$0")/.."
parts=${*:-base photos lens job fuzz hardpoints locate corner advice}
cmake --preset sanitize >/dev/null
if [ "$parts" = all ]; then
  cmake --build --preset sanitize
  exec ctest --preset sanitize
fi
targets=""
for part in $parts; do targets="$targets ${part}_test"; done
# shellcheck disable=SC2086 # one word per target
cmake --build build-sanitize --target $targets
ctest --preset sanitize -R "^($(echo "$parts" | tr ' ' '|'))\."
