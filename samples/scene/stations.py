# SPDX-License-Identifier: Apache-2.0
"""Where the phone was for each photo and how it was held."""
from dataclasses import dataclass

import numpy as np

from points import unit

SEED = 20260412
ORIENTATION_UP = {1: (0.0, -1.0), 6: (-1.0, 0.0), 8: (1.0, 0.0)}  # where "up" points in the stored picture (u, v)

# azimuth from straight ahead over outside, distance, phone's height over z = 0, point looked at, EXIF orientation
_WALK = [
    # low, phone near the shop floor
    (15, 980, -95, (20, 520, 240), 1), (27, 800, -140, (0, 500, 230), 6), (40, 820, -60, (0, 520, 190), 1),
    (57, 720, -150, (0, 540, 210), 6), (76, 800, -120, (-40, 480, 190), 1), (94, 740, -160, (-60, 470, 190), 6),
    (110, 870, -105, (-90, 470, 220), 1), (127, 830, -150, (-120, 460, 240), 6), (144, 930, -140, (-130, 440, 250), 1),
    (153, 880, -165, (-150, 440, 240), 6),
    # about hub height
    (14, 980, 330, (20, 520, 300), 6), (33, 880, 420, (0, 560, 330), 1), (52, 940, 300, (0, 560, 280), 6),
    (70, 850, 520, (-20, 560, 330), 1), (90, 1050, 380, (-20, 560, 280), 6), (108, 880, 470, (-60, 560, 300), 1),
    (124, 820, 360, (-80, 560, 280), 8), (140, 930, 430, (-90, 560, 290), 1),
    # raised
    (17, 1000, 1010, (20, 540, 420), 1), (38, 980, 1120, (0, 560, 420), 6), (60, 900, 1200, (-20, 560, 440), 1),
    (80, 1050, 1270, (-30, 560, 400), 6), (97, 860, 1050, (-60, 600, 380), 1), (112, 780, 930, (-90, 620, 340), 6),
    (122, 900, 1150, (-80, 590, 400), 1), (135, 760, 860, (-100, 620, 320), 6), (148, 900, 1020, (-80, 590, 400), 8),
    (105, 620, 720, (-110, 640, 290), 1), (68, 930, 1290, (-40, 560, 520), 6), (35, 730, -110, (-60, 450, 200), 1),
    (43, 860, -80, (-60, 470, 200), 6), (62, 960, 1330, (-40, 560, 540), 1),
]


@dataclass
class Station:
    name: str
    orientation: int
    vehicle_from_camera: np.ndarray  # 3x3, camera x right and y down in the stored picture, z into the scene
    position_mm: np.ndarray
    focal_px: float
    principal_point_px: np.ndarray
    blur_sigma_px: float
    exposure: float
    exposure_time_s: float
    iso: int


def _attitude(direction, orientation, roll_rad):
    """Camera axes for a phone held so that the viewer's up agrees with the orientation flag."""
    z = unit(direction)
    right = unit(np.cross(z, [0.0, 0.0, 1.0]))
    up = np.cross(right, z)
    right, up = (np.cos(roll_rad) * right + np.sin(roll_rad) * up, np.cos(roll_rad) * up - np.sin(roll_rad) * right)
    up_u, up_v = ORIENTATION_UP[orientation]
    # In the stored picture "up" lies along (up_u, up_v); "right" is a quarter turn clockwise from it.
    x = up_u * up + (-up_v) * right
    return np.column_stack([x, np.cross(z, x), z])


def all_stations():
    random = np.random.default_rng(SEED)
    stations = []
    for index, (azimuth_deg, distance, height, target, orientation) in enumerate(_WALK):
        azimuth = np.radians(azimuth_deg + random.normal(0.0, 1.0))
        target = np.asarray(target, float) + random.normal(0.0, 12.0, 3)
        reach = np.sqrt(distance ** 2 - (height - target[2]) ** 2)
        position = np.array([target[0] + reach * np.cos(azimuth), target[1] + reach * np.sin(azimuth), float(height)])
        position = position + random.normal(0.0, 8.0, 3)
        attitude = _attitude(target - position, orientation, np.radians(random.normal(0.0, 3.0)))
        raised = height > 600
        stations.append(Station(
            name=f"IMG_{4211 + index:04d}", orientation=orientation, vehicle_from_camera=attitude,
            position_mm=position,
            focal_px=2478.6 * (1.0 + random.normal(0.0, 0.0003)),  # autofocus moves the lens a little
            principal_point_px=np.array([1645.3, 1210.8]) + random.normal(0.0, 1.2, 2),  # so does the stabiliser
            blur_sigma_px=float(random.uniform(0.7, 1.1)),
            exposure=float(np.exp(random.normal(0.0, 0.06))) * (1.0 if raised else 1.12),
            exposure_time_s=1.0 / (100 if raised else 60), iso=int(random.choice([80, 100, 125, 160]))))
    return stations
