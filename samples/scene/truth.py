# SPDX-License-Identifier: Apache-2.0
"""Writes truth.json: everything about the made-up job that a program could be asked to find.

usage: truth.py TARGET
"""
import json
import pathlib
import sys

import numpy as np

import camera
from points import CAMBER_DEG, HARDPOINTS_MM, STUD_AXIS, TOE_DEG, TRAVEL_MM, spin_axis
from stations import all_stations
from suspension import StrutCorner, best_rod_end_height_mm, mean_square_toe_change
from tags import FLOOR_FACE_Z_MM, REAR_PIVOT_PAIR, SCALE_STRIPS, STAND_OFF_MM, all_tags


def rounded(values, digits=9):
    return np.round(np.asarray(values, float), digits).tolist()


def suspension_truth():
    travels = np.arange(-TRAVEL_MM, TRAVEL_MM + 1.0, 5.0)
    best = best_rod_end_height_mm()

    def curve(height):
        return {"rod_end_height_mm": round(height, 4), "travel_mm": rounded(travels),
                "toe_change_deg": rounded(StrutCorner(height).toe_change_deg(travels), 6),
                "mean_square_toe_change_deg2": round(float(mean_square_toe_change(height)), 9),
                "link_length_mm": round(float(StrutCorner(height).link_length), 4)}

    return {
        "toe_deg": TOE_DEG, "camber_deg": CAMBER_DEG, "spin_axis": rounded(spin_axis()), "stud_axis": rounded(STUD_AXIS),
        "best_rod_end_height_mm": round(best, 3),
        "objective": "mean square toe change against ride height, -40 to +40 mm in steps of 2 mm; the link's "
                     "length re-set so that toe at ride height stays; height along the stud axis, up positive",
        "now": curve(0.0), "best": curve(best),
    }


def tag_truth(tag):
    return {"number": tag.number, "side_mm": tag.side_mm, "stands_for": tag.purpose,
            "centre_mm": rounded(tag.centre_mm), "x_axis": rounded(tag.vehicle_from_tag[:, 0]),
            "y_axis": rounded(tag.vehicle_from_tag[:, 1]), "z_axis": rounded(tag.vehicle_from_tag[:, 2])}


def photo_truth(station):
    return {"file": f"photos/{station.name}.jpg", "exif_orientation": station.orientation,
            "camera_position_mm": rounded(station.position_mm),
            "vehicle_from_camera": rounded(station.vehicle_from_camera),
            "focal_px": round(station.focal_px, 6), "principal_point_px": rounded(station.principal_point_px, 6),
            "blur_sigma_px": round(station.blur_sigma_px, 4)}


def main():
    tags = all_tags()
    truth = {
        "note": "Everything here is invented. Vehicle axes ISO 8855 (x forward, y left, z up), millimetres, origin on "
                "the ground below the front axle's middle. Pixel (0,0) is the centre of the first pixel of the "
                "stored picture; camera axes x right, y down, z into the scene.",
        "hardpoints_mm": {name: rounded(point) for name, point in HARDPOINTS_MM.items()},
        "stand_offs_mm": {name: {"tag": number, "stand_off": value} for number, (name, value) in STAND_OFF_MM.items()},
        "rear_pivot_pair": list(REAR_PIVOT_PAIR),
        "floor_tag_face_z_mm": FLOOR_FACE_Z_MM,
        "scale_distances_mm": [
            {"between": list(pair),
             "length": round(float(np.linalg.norm(tags[pair[0]].centre_mm - tags[pair[1]].centre_mm)), 6)}
            for pair in SCALE_STRIPS],
        "lens": {"model": "Brown: x' = x(1 + k1 r2 + k2 r4 + k3 r6) + 2 p1 x y + p2 (r2 + 2 x2), "
                          "y' = y(1 + ...) + p1 (r2 + 2 y2) + 2 p2 x y; pixel = focal * (x', y') + principal point",
                 "k1_k2_k3": list(camera.RADIAL), "p1_p2": list(camera.TANGENTIAL),
                 "width_px": camera.WIDTH, "height_px": camera.HEIGHT},
        "suspension": suspension_truth(),
        "tags": [tag_truth(tag) for tag in tags.values()],
        "photos": [photo_truth(station) for station in all_stations()],
    }
    pathlib.Path(sys.argv[1]).write_text(json.dumps(truth, indent=1) + "\n")


if __name__ == "__main__":
    main()
