# SPDX-License-Identifier: Apache-2.0
"""How the invented strut corner moves: a spatial Newton solve in numpy, independent of the program under test.

The knuckle is a rigid body with six unknowns (a rotation vector and a shift). Six equations hold it: two legs
of the lower arm keep their lengths, the strut's top mount stays on a line fixed in the knuckle (two
equations), the steering link keeps its length, and the wheel centre has risen by the travel.
"""
import numpy as np

from points import HARDPOINTS_MM, STUD_AXIS, TRAVEL_MM, spin_axis, unit


def rotation_matrix(vector):
    """Rodrigues' formula."""
    angle = np.linalg.norm(vector)
    if angle < 1e-14:
        return np.eye(3)
    x, y, z = vector / angle
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    return np.eye(3) + np.sin(angle) * cross + (1.0 - np.cos(angle)) * cross @ cross


class StrutCorner:
    def __init__(self, rod_end_height_mm=0.0, points=HARDPOINTS_MM, stud_axis=STUD_AXIS):
        self.points = points
        self.link_outer = points["link_outer_joint"] + rod_end_height_mm * stud_axis
        # The link is re-set after the spacers were moved so that toe at ride height stays.
        self.link_length = np.linalg.norm(self.link_outer - points["link_inner_joint"])
        self.strut_direction = unit(points["strut_top_mount"] - points["strut_axis_low"])
        helper = np.array([1.0, 0.0, 0.0])
        self.across_strut = unit(np.cross(self.strut_direction, helper))
        self.along_strut_normal = np.cross(self.strut_direction, self.across_strut)

    def _misclosure(self, pose, travel_mm):
        points = self.points
        turn, shift = rotation_matrix(pose[:3]), pose[3:]
        origin = points["wheel_centre"]

        def moved(point):
            return origin + turn @ (point - origin) + shift

        ball_joint = points["lower_ball_joint"]
        ball_joint_moved = moved(ball_joint)
        front, rear = points["lower_arm_front_pivot"], points["lower_arm_rear_pivot"]
        top_from_low = points["strut_top_mount"] - moved(points["strut_axis_low"])
        return np.array([
            np.linalg.norm(ball_joint_moved - front) - np.linalg.norm(ball_joint - front),
            np.linalg.norm(ball_joint_moved - rear) - np.linalg.norm(ball_joint - rear),
            top_from_low @ (turn @ self.across_strut),
            top_from_low @ (turn @ self.along_strut_normal),
            np.linalg.norm(moved(self.link_outer) - points["link_inner_joint"]) - self.link_length,
            shift[2] - travel_mm,
        ])

    def _solve(self, start, travel_mm):
        pose = start.copy()
        steps = np.array([1e-6] * 3 + [1e-3] * 3)
        for _ in range(30):
            misclosure = self._misclosure(pose, travel_mm)
            jacobian = np.empty((6, 6))
            for column, step in enumerate(steps):
                offset = np.zeros(6)
                offset[column] = step
                jacobian[:, column] = (self._misclosure(pose + offset, travel_mm)
                                       - self._misclosure(pose - offset, travel_mm)) / (2.0 * step)
            change = np.linalg.solve(jacobian, -misclosure)
            pose = pose + change
            if np.max(np.abs(change)) < 1e-11:
                return pose
        raise RuntimeError(f"no closure at {travel_mm} mm of travel")

    def toe_deg(self, travels_mm):
        """Toe-in at each travel, found by following the branch outwards from ride height."""
        toes = {}
        for direction in (1.0, -1.0):
            pose = np.zeros(6)
            for travel in sorted((t for t in travels_mm if t * direction >= 0.0), key=abs):
                pose = self._solve(pose, travel)
                spin = rotation_matrix(pose[:3]) @ spin_axis()
                toes[travel] = np.degrees(np.arctan2(spin[0], spin[1]))
        return np.array([toes[travel] for travel in travels_mm])

    def toe_change_deg(self, travels_mm):
        return self.toe_deg(travels_mm) - self.toe_deg([0.0])[0]


def mean_square_toe_change(rod_end_height_mm):
    travels = np.arange(-TRAVEL_MM, TRAVEL_MM + 1.0, 2.0)
    return np.mean(StrutCorner(rod_end_height_mm).toe_change_deg(travels) ** 2)


def best_rod_end_height_mm(low=-60.0, high=60.0, tolerance=1e-4):
    """Golden-section search; the objective has one valley in this range."""
    ratio = (np.sqrt(5.0) - 1.0) / 2.0
    left, right = high - ratio * (high - low), low + ratio * (high - low)
    left_value, right_value = mean_square_toe_change(left), mean_square_toe_change(right)
    while high - low > tolerance:
        if left_value < right_value:
            high, right, right_value = right, left, left_value
            left = high - ratio * (high - low)
            left_value = mean_square_toe_change(left)
        else:
            low, left, left_value = left, right, right_value
            right = low + ratio * (high - low)
            right_value = mean_square_toe_change(right)
    return 0.5 * (low + high)


if __name__ == "__main__":
    link = HARDPOINTS_MM["link_outer_joint"] - HARDPOINTS_MM["link_inner_joint"]
    arm = HARDPOINTS_MM["lower_ball_joint"] - HARDPOINTS_MM["lower_arm_front_pivot"]
    print("link and arm angle", np.degrees(np.arctan2(link[2], link[1])), np.degrees(np.arctan2(arm[2], arm[1])))
    kingpin = HARDPOINTS_MM["strut_top_mount"] - HARDPOINTS_MM["lower_ball_joint"]
    print("inclination, caster", np.degrees(np.arctan2(-kingpin[1], kingpin[2])),
          np.degrees(np.arctan2(-kingpin[0], kingpin[2])))
    travels = np.arange(-40.0, 41.0, 10.0)
    best = best_rod_end_height_mm()
    print("now ", np.round(StrutCorner().toe_change_deg(travels), 4))
    print("best", round(best, 3), np.round(StrutCorner(best).toe_change_deg(travels), 4))
