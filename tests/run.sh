#!/bin/sh
# Installs what is needed, builds everything and runs all tests.
set -eu
cd "$(dirname "$0")/.."
.ci/packages test
cmake --preset release
cmake --build --preset release
ctest --preset release
