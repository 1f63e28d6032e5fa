#!/bin/sh
# SPDX-License-Identifier: Apache-2.0
# Makes the sample job's photos and truth.json again, always the same. Takes the better part of an hour.
# Debian packages: povray python3-numpy python3-opencv python3-piexif python3-apriltag
set -eu
here=$(cd "$(dirname "$0")" && pwd)
job=$here/../club-car
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
/usr/bin/python3 "$here/truth.py" "$job/truth.json"
rm -f "$job"/photos/*.jpg
/usr/bin/python3 "$here/render.py" "$work" "$job/photos"
/usr/bin/python3 "$here/check.py" "$job/photos"
