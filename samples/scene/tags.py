# SPDX-License-Identifier: Apache-2.0
"""Where every printed tag sits: numbers, sides, poses in vehicle axes, and what each one stands for.

Tag frame: origin at the tag's centre, x right and y up for a reader of the number printed below, z out of the
paper. A hardpoint lies `stand_off` behind its tag's face: hardpoint = centre - stand_off * z.
"""
from dataclasses import dataclass

import numpy as np

from points import HARDPOINTS_MM, STUD_AXIS, spin_axis, strut_axis, unit


@dataclass
class Tag:
    number: int
    side_mm: float
    centre_mm: np.ndarray
    vehicle_from_tag: np.ndarray  # columns: x, y, z of the tag in vehicle axes
    purpose: str
    stem_to_mm: np.ndarray | None = None  # where the little post behind the plate ends


def frame(normal, up_hint):
    z = unit(normal)
    x = unit(np.cross(up_hint, z))
    return np.column_stack([x, np.cross(z, x), z])


def _on_plate(number, side, centre, normal, up_hint, purpose):
    return Tag(number, side, np.asarray(centre, float), frame(normal, up_hint), purpose)


def _on_block(number, side, centre, normal, up_hint, purpose):
    """A tag on a slanted magnet block."""
    tag = _on_plate(number, side, centre, normal, up_hint, purpose)
    tag.stem_to_mm = tag.centre_mm - 36.0 * tag.vehicle_from_tag[:, 2]
    return tag


def _cap(number, side, hardpoint, stand_off, normal, up_hint):
    """A tag on a cap whose axis runs through the hardpoint."""
    point = HARDPOINTS_MM[hardpoint]
    turn = frame(normal, up_hint)
    return Tag(number, side, point + stand_off * turn[:, 2], turn, hardpoint, point)


STAND_OFF_MM = {  # as the user writes them: number -> (hardpoint, stand-off)
    11: ("link_outer_joint", 46.0),
    12: ("lower_ball_joint", 48.0),
    13: ("strut_top_mount", 40.0),
    14: ("strut_axis_low", 34.0),
    15: ("wheel_centre", 58.0),
    16: ("link_inner_joint", 55.0),
    17: ("lower_arm_front_pivot", 52.0),
}
REAR_PIVOT_PAIR = (20, 21)
FLOOR = [1, 2, 3, 4, 5, 6, 7]
FORWARD = [5, 6]
SCALE_STRIPS = [(60, 61), (62, 63), (64, 65)]
FLOOR_FACE_Z_MM = -250.0  # tags glued to 2 mm plates


def hardpoint_tags():
    arm_axis = unit(HARDPOINTS_MM["lower_arm_front_pivot"] - HARDPOINTS_MM["lower_arm_rear_pivot"])
    strut = strut_axis()
    radial = np.array([0.60, 0.80, 0.0])
    radial = radial - (radial @ strut) * strut
    looks = {  # number: side, normal, which way is up for the reader
        11: (40, STUD_AXIS, [0.35, -1.0, 0.0]),
        12: (36, [0.62, 0.15, -0.77], [0.0, 0.1, 1.0]),
        13: (40, [0.10, 0.50, 0.86], [0.1, -0.8, 0.6]),
        14: (36, radial, strut),
        15: (50, spin_axis(), [0.35, 0.0, 1.0]),
        16: (40, [-0.10, 0.47, -0.88], [-0.15, 0.3, 1.0]),
        17: (40, arm_axis, [0.0, -0.12, 1.0]),
    }
    tags = [_cap(number, looks[number][0], *STAND_OFF_MM[number], looks[number][1], looks[number][2])
            for number in STAND_OFF_MM]
    # The pair sits on both ends of the bolt, equally far out; its slanted caps turn the faces outwards and down.
    rear = HARDPOINTS_MM["lower_arm_rear_pivot"]
    for number, along in zip(REAR_PIVOT_PAIR, (1.0, -1.0)):
        tags.append(Tag(number, 36, rear + along * 58.0 * arm_axis,
                        frame([along * 0.82, 0.44, -0.36], [0.0, 0.05, 1.0]), "lower_arm_rear_pivot",
                        rear + along * 30.0 * arm_axis))
    return tags


def body_tags():
    outward, forward = [0, 1, 0], [1, 0, 0]
    return [
        _on_plate(30, 60, [205, 421, 590], outward, [0.05, 0, 1], "inner wing"),
        _on_plate(31, 60, [-285, 421, 560], outward, [-0.10, 0, 1], "inner wing"),
        _on_plate(32, 60, [430, 421, 640], outward, [0.2, 0, 1], "inner wing"),
        _on_plate(33, 50, [165, 423, 384], outward, [0, 0, 1], "chassis leg"),
        _on_plate(34, 50, [-395, 423, 386], outward, [0, 0, 1], "chassis leg"),
        _on_plate(35, 50, [150, 455, 800], [0.05, 0.42, 0.9], [0, -1, 0.3], "wing rail"),
        _on_plate(36, 36, [265, 415, 300], [0.96, 0.28, -0.08], [0, 0, 1], "anti-roll bar bracket"),
        _on_plate(37, 36, [112, 757, 312], [0.02, 1, 0.0], [0.1, 0, 1], "caliper"),
        _on_plate(38, 36, [-137, 512, 213], [-0.05, 0.15, 0.98], [0.2, -1, 0], "lower arm"),
        _on_plate(40, 36, [-343, 255, 152], [-1, 0, -0.08], [0, 0, 1], "subframe"),
        _on_block(41, 50, [-345, 392, 309], [-0.35, 0.52, -0.78], [0, 0.2, 1], "chassis leg, below"),
        _on_block(42, 50, [345, 392, 309], [0.42, 0.52, -0.74], [0, 0.2, 1], "chassis leg, below"),
        _on_plate(44, 36, [-300, 322.5, 262], [0, 1, 0], [0.06, 0, 1], "subframe"),
        _on_plate(46, 60, [-478, 470, 640], forward, [0, 0.05, 1], "bulkhead"),
        _on_plate(47, 60, [-478, 640, 745], forward, [0, -0.1, 1], "bulkhead"),
        _on_plate(48, 50, [-478, 665, 222], forward, [0, 0.0, 1], "bulkhead"),
    ]


def floor_tags():
    places = {1: (345, 655, 20), 2: (-70, 790, -35), 3: (-360, 560, 80), 4: (215, 780, 150),
              5: (-430, 905, 5), 6: (445, 905, 100), 7: (150, 430, -60)}
    tags = []
    for number, (x, y, turn_deg) in places.items():
        turn = np.radians(turn_deg)
        up = [np.sin(turn), -np.cos(turn), 0.0]  # mostly read from outside the car
        tags.append(_on_plate(number, 60, [x, y, FLOOR_FACE_Z_MM], [0, 0, 1], up, "floor"))
    return tags


def _strip(numbers, middle, along, normal, distance, up_hint):
    along = unit(along)
    ends = [np.asarray(middle, float) - 0.5 * distance * along, np.asarray(middle, float) + 0.5 * distance * along]
    return [_on_plate(n, 60, end, normal, up_hint, "scale strip") for n, end in zip(numbers, ends)]


def strip_tags():
    lean = unit([0.10, -0.38, 0.92])
    lean_normal = np.array([0.25, 0.90, 0.0])
    lean_normal = lean_normal - (lean_normal @ lean) * lean
    diagonal = unit([0.0, 140.0, 288.0])
    return (_strip((60, 61), [432, 552, -82], lean, lean_normal, 249.613, lean)
            + _strip((62, 63), [-90, 1015, -248.5], [0.97, -0.24, 0.0], [0, 0, 1], 400.287, [0.2, -1, 0])
            + _strip((64, 65), [-473.5, 560, 392], diagonal, [1, 0, 0], 320.154, diagonal))


def all_tags():
    tags = hardpoint_tags() + body_tags() + floor_tags() + strip_tags()
    numbers = [tag.number for tag in tags]
    assert len(numbers) == len(set(numbers))
    return {tag.number: tag for tag in tags}
