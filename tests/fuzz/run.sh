#!/bin/sh
# `tests/fuzz/run.sh [SECONDS [READER...]]`: looks for inputs that break a reader, one reader after another,
# 1200 seconds each. Needs clang-14 and libclang-rt-14-dev. What it finds is in build-fuzz/found/READER; what
# reaches new code, in build-fuzz/grown/READER.
set -eu
cd "$(dirname "$0")/../.."
seconds=${1:-1200}
[ $# -eq 0 ] || shift
readers=${*:-job_file lens_file hardpoint_file hardpoint_csv tag_cache thumbnail_cache photo}
cmake --preset fuzz >/dev/null
for reader in $readers; do
  cmake --build build-fuzz --target "${reader}_fuzz"
  mkdir -p "build-fuzz/grown/$reader" "build-fuzz/found/$reader"
  nice "build-fuzz/tests/fuzz/${reader}_fuzz" -max_total_time="$seconds" -max_len=8000 -timeout=60 \
    -rss_limit_mb=3000 -print_final_stats=1 -dict="tests/fuzz/$reader.dict" \
    -artifact_prefix="build-fuzz/found/$reader/" "build-fuzz/grown/$reader" "tests/fuzz/corpus/$reader"
done
