# SPDX-License-Identifier: Apache-2.0
"""Hardpoints of the invented car: left front strut corner, vehicle axes ISO 8855, millimetres.

Everything here is made up. The car is lowered: its lower arm rises outwards and the steering link rises more
steeply still, so that it steers over bumps.
"""
import numpy as np

TRAVEL_MM = 40.0
TOE_DEG = 0.10
CAMBER_DEG = -1.2
SHOP_FLOOR_Z_MM = -252.0  # the car stands on stands: the shop's floor is lower than the road would be


def unit(vector):
    vector = np.asarray(vector, dtype=float)
    return vector / np.linalg.norm(vector)


HARDPOINTS_MM = {
    "lower_arm_front_pivot": np.array([60.31, 364.62, 182.43]),
    "lower_arm_rear_pivot": np.array([-255.24, 372.83, 190.72]),
    "lower_ball_joint": np.array([8.42, 682.27, 203.64]),
    "strut_top_mount": np.array([-43.71, 555.62, 799.35]),
    "strut_axis_low": np.array([-13.38, 613.94, 466.18]),
    "link_inner_joint": np.array([-116.43, 322.74, 213.27]),
    "link_outer_joint": np.array([-127.58, 655.36, 256.91]),
    "wheel_centre": np.array([0.0, 742.0, 300.0]),
}

# Rod-end bolt, pointing up; written to four digits in the job file, so it is exact there.
STUD_AXIS = unit([-0.035, -0.087, 0.9956])


def spin_axis(toe_deg=TOE_DEG, camber_deg=CAMBER_DEG):
    """Outboard unit vector along the wheel's axis (ISO 8855 toe-in and camber of a left wheel)."""
    toe, camber = np.radians([toe_deg, camber_deg])
    return np.array([np.sin(toe) * np.cos(camber), np.cos(toe) * np.cos(camber), -np.sin(camber)])


def strut_axis():
    return unit(HARDPOINTS_MM["strut_top_mount"] - HARDPOINTS_MM["strut_axis_low"])
