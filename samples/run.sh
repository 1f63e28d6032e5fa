#!/bin/sh
# Installs what is needed, builds pivotfix and runs the whole job on the sample photos.
set -eu
cd "$(dirname "$0")/.."
.ci/packages build
cmake --preset release -DPIVOTFIX_TESTS=OFF >build-log.tmp 2>&1 || { cat build-log.tmp >&2; exit 1; }
rm -f build-log.tmp
cmake --build build --target pivotfix
build/src/cli/pivotfix run samples/club-car/job.toml --output build/sample
