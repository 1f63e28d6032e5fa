# SPDX-License-Identifier: Apache-2.0
"""Writes what POV-Ray needs from the tables here: points.inc, tags.inc and one picture per tag."""
import pathlib

import cv2
import numpy as np

from points import HARDPOINTS_MM, SHOP_FLOOR_Z_MM, STUD_AXIS, spin_axis, unit
from tags import SCALE_STRIPS, all_tags

CELL_PX = 40
MARGIN_CELLS = 1.25
NUMBER_CELLS = 1.75
PAPER, INK = 204, 9  # linear reflectance times 255
PLATE_MM = 2.0
STEM_RADIUS_MM = 11.0
POV_NAMES = {
    "lower_arm_front_pivot": "Arm_Front", "lower_arm_rear_pivot": "Arm_Rear", "lower_ball_joint": "Ball_Joint",
    "strut_top_mount": "Strut_Top", "strut_axis_low": "Strut_Low", "link_inner_joint": "Link_Inner",
    "link_outer_joint": "Link_Outer", "wheel_centre": "Wheel_Centre",
}


def pov_vector(vector):
    return "<" + ", ".join(f"{value:.9f}" for value in vector) + ">"


def draw_tag(number):
    """Paper with the tag and its number; linear grey, every cell a whole number of pixels."""
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    tag_px = 8 * CELL_PX
    margin, below = int(MARGIN_CELLS * CELL_PX), int(NUMBER_CELLS * CELL_PX)
    paper = np.full((tag_px + margin + below, tag_px + 2 * margin), PAPER, np.uint8)
    cells = cv2.aruco.drawMarker(dictionary, number, 8)
    big = np.kron(cells, np.ones((CELL_PX, CELL_PX), np.uint8))
    paper[margin:margin + tag_px, margin:margin + tag_px] = np.where(big > 0, PAPER, INK)
    text, font, size = str(number), cv2.FONT_HERSHEY_SIMPLEX, 1.35
    (width, height), _ = cv2.getTextSize(text, font, size, 4)
    at = ((paper.shape[1] - width) // 2, margin + tag_px + (below + height) // 2)
    cv2.putText(paper, text, at, font, size, INK, 4, cv2.LINE_AA)
    return paper


def plate(tag):
    cell = tag.side_mm / 8.0
    left = 4.0 * cell + MARGIN_CELLS * cell
    top, bottom = left, 4.0 * cell + NUMBER_CELLS * cell
    x, y, z = tag.vehicle_from_tag.T
    matrix = ", ".join(f"{value:.9f}" for value in np.concatenate([x, y, z, tag.centre_mm]))
    lines = [
        f"box {{ <{-left}, {-bottom}, {-PLATE_MM}>, <{left}, {top}, 0>",
        f'  pigment {{ image_map {{ png "tag_{tag.number}.png" gamma 1.0 }} '
        f"scale <{2 * left}, {top + bottom}, 1> translate <{-left}, {-bottom}, 0> }}",
        f"  finish {{ Paper_Finish }} matrix <{matrix}> }}",
    ]
    if tag.stem_to_mm is not None:
        z_axis = tag.vehicle_from_tag[:, 2]
        back = tag.centre_mm - PLATE_MM * z_axis
        towards = back - tag.stem_to_mm
        along = unit(towards)
        start = tag.stem_to_mm + min(24.0, 0.5 * np.linalg.norm(towards)) * along
        slant = np.arccos(np.clip(along @ z_axis, -1.0, 1.0))
        end = back - STEM_RADIUS_MM * np.tan(slant) * along  # or a slanted stem's rim would pierce the plate
        lines += [
            f"cylinder {{ {pov_vector(start)}, {pov_vector(end)}, {STEM_RADIUS_MM} texture {{ Plastic_Grey }} }}",
            f"cylinder {{ {pov_vector(back - 5.0 * z_axis)}, {pov_vector(back)}, {0.42 * tag.side_mm} "
            "texture { Plastic_Grey } }",
        ]
    return "\n".join(lines)


def strip(first, second):
    """The stiff flat bar behind the two tags of a scale strip; its face lies a hair under the plates' backs."""
    z = first.vehicle_from_tag[:, 2]
    along = unit(second.centre_mm - first.centre_mm)
    side = np.cross(z, along)
    a = first.centre_mm - 45.0 * along - PLATE_MM * z
    length = np.linalg.norm(second.centre_mm - first.centre_mm) + 90.0
    thickness = 1.4 if abs(z[2]) > 0.99 else 2.4
    matrix = ", ".join(f"{value:.9f}" for value in np.concatenate([along, side, z, a]))
    return (f"box {{ <0, -33, {-thickness}>, <{length:.6f}, 33, -0.01> texture {{ Bare_Steel }} "
            f"matrix <{matrix}> }}")


def write(folder):
    folder = pathlib.Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    tags = all_tags()
    for number in tags:
        cv2.imwrite(str(folder / f"tag_{number}.png"), draw_tag(number))
    arm_axis = unit(HARDPOINTS_MM["lower_arm_front_pivot"] - HARDPOINTS_MM["lower_arm_rear_pivot"])
    declarations = [f"#declare {POV_NAMES[name]} = {pov_vector(point)};" for name, point in HARDPOINTS_MM.items()]
    declarations += [f"#declare Stud_Axis = {pov_vector(STUD_AXIS)};", f"#declare Arm_Axis = {pov_vector(arm_axis)};",
                     f"#declare Spin = {pov_vector(spin_axis())};", f"#declare Shop_Floor = {SHOP_FLOOR_Z_MM};"]
    (folder / "points.inc").write_text("\n".join(declarations) + "\n")
    bodies = [plate(tag) for tag in tags.values()]
    bodies += [strip(tags[first], tags[second]) for first, second in SCALE_STRIPS]
    (folder / "tags.inc").write_text("\n".join(bodies) + "\n")
