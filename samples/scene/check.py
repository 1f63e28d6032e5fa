# SPDX-License-Identifier: Apache-2.0
"""Checks the photos against the truth with somebody else's detector (Debian's python3-apriltag).

usage: check.py PHOTO_FOLDER

Prints tags per photo and photos per tag; fails when tag centres are off on average, when a hardpoint's tag is
seen well (tilt below 60 degrees) in fewer than five photos, or when the photos are too big together.
"""
import collections
import pathlib
import sys

import apriltag
import cv2
import numpy as np

import camera
from stations import all_stations
from tags import REAR_PIVOT_PAIR, STAND_OFF_MM, all_tags

LARGEST_TOTAL_BYTES = 28e6
LARGEST_MEAN_OFFSET_PX = 0.03
FEWEST_GOOD_VIEWS = 5


def crossing_of_diagonals(corners):
    a, b, c, d = np.column_stack([corners, np.ones(4)])
    crossing = np.cross(np.cross(a, c), np.cross(b, d))
    return crossing[:2] / crossing[2]


def centre_offset_px(detection, tag, station):
    """Seen minus true tag centre, without the lens' distortion, in photo pixels; libapriltag counts from +0.5."""
    corners = np.asarray(detection["lb-rb-rt-lt"], float) - 0.5
    normalised = (corners - station.principal_point_px) / station.focal_px
    ideal = np.column_stack(camera.undistort(normalised[:, 0], normalised[:, 1]))
    in_camera = (tag.centre_mm - station.position_mm) @ station.vehicle_from_camera
    return (crossing_of_diagonals(ideal) - in_camera[:2] / in_camera[2]) * station.focal_px


def tilt_deg(tag, station):
    towards = station.position_mm - tag.centre_mm
    return np.degrees(np.arccos(towards @ tag.vehicle_from_tag[:, 2] / np.linalg.norm(towards)))


def main():
    photos = pathlib.Path(sys.argv[1])
    detector = apriltag.apriltag("tag36h11", threads=1, decimate=1.0)
    tags = all_tags()
    seen, well_seen, offsets, total = collections.Counter(), collections.Counter(), [], 0
    photo_count = 0
    for station in all_stations():
        path = photos / f"{station.name}.jpg"
        if not path.exists():
            continue
        photo_count += 1
        total += path.stat().st_size
        found = [d for d in detector.detect(cv2.imread(str(path), cv2.IMREAD_GRAYSCALE | cv2.IMREAD_IGNORE_ORIENTATION))
                 if d["hamming"] == 0 and d["id"] in tags]
        for detection in found:
            number = detection["id"]
            tilt = tilt_deg(tags[number], station)
            seen[number] += 1
            well_seen[number] += tilt < 60.0
            offset = centre_offset_px(detection, tags[number], station)
            offsets.append(offset)
            if np.linalg.norm(offset) > 0.5:
                print(f"  {station.name} tag {number}: centre {np.round(offset, 2)} px off, tilt {tilt:.0f} deg")
        print(f"{station.name}: {len(found)} tags, {path.stat().st_size / 1e6:.2f} MB")
    offsets = np.array(offsets)
    typical = np.linalg.norm(offsets, axis=1) < 0.5
    mean, spread = offsets[typical].mean(axis=0), offsets[typical].std(axis=0)
    for number, tag in tags.items():
        print(f"tag {number:3d} {tag.purpose:24s} {seen[number]:3d} photos, {well_seen[number]:3d} below 60 deg")
    print(f"{photo_count} photos, {total / 1e6:.1f} MB; {len(offsets)} tags, {np.count_nonzero(~typical)} gross; "
          f"centre offset mean {np.round(mean, 4)} px, spread {np.round(spread, 4)} px")
    hardpoint_tags = list(STAND_OFF_MM) + list(REAR_PIVOT_PAIR)
    too_few = [number for number in hardpoint_tags if well_seen[number] < FEWEST_GOOD_VIEWS]
    if too_few or np.max(np.abs(mean)) > LARGEST_MEAN_OFFSET_PX or total > LARGEST_TOTAL_BYTES:
        sys.exit(f"not good enough: tags seen too rarely {too_few}")


if __name__ == "__main__":
    main()
