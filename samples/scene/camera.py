# SPDX-License-Identifier: Apache-2.0
"""The invented phone: pinhole camera for POV-Ray, Brown's lens distortion, and what the phone does to a picture.

Pixel (0, 0) is the centre of the first pixel, in the photo as well as in the larger pinhole picture.
"""
import cv2
import numpy as np

WIDTH, HEIGHT = 3264, 2448
OVERSAMPLING = 1.1       # the pinhole picture's focal length over the photo's
PINHOLE_MARGIN = 1.016   # the pinhole picture reaches this much further out
RADIAL = (0.0612, -0.1187, 0.0489)
TANGENTIAL = (0.00042, -0.00031)


def distort(x, y):
    """Brown (1971): from ideal to distorted, both on the plane z = 1."""
    (k1, k2, k3), (p1, p2) = RADIAL, TANGENTIAL
    r2 = x * x + y * y
    radial = 1.0 + r2 * (k1 + r2 * (k2 + r2 * k3))
    return (x * radial + 2.0 * p1 * x * y + p2 * (r2 + 2.0 * x * x),
            y * radial + p1 * (r2 + 2.0 * y * y) + 2.0 * p2 * x * y)


def undistort(x_distorted, y_distorted):
    """Fixed-point inverse of `distort`; the distortion is mild, so it converges fast."""
    x, y = x_distorted.copy(), y_distorted.copy()
    for _ in range(9):  # each round gains more than one digit; the last changes less than 1e-9 px
        x_again, y_again = distort(x, y)
        x, y = x + (x_distorted - x_again), y + (y_distorted - y_again)
    return x, y


def project(station, points_mm):
    """Vehicle points (n x 3) to pixels of the photo (n x 2); depths too."""
    in_camera = (np.atleast_2d(points_mm) - station.position_mm) @ station.vehicle_from_camera
    x, y = distort(in_camera[:, 0] / in_camera[:, 2], in_camera[:, 1] / in_camera[:, 2])
    pixels = np.column_stack([x, y]) * station.focal_px + station.principal_point_px
    return pixels, in_camera[:, 2]


class Pinhole:
    """The ideal picture that POV-Ray renders for a station; `scale` shrinks it for previews."""

    def __init__(self, station, scale=1.0):
        self.focal_px = station.focal_px * OVERSAMPLING * scale
        self.width = int(round(WIDTH * OVERSAMPLING * PINHOLE_MARGIN * scale / 2.0)) * 2
        self.height = int(round(HEIGHT * OVERSAMPLING * PINHOLE_MARGIN * scale / 2.0)) * 2
        self.centre_px = (0.5 * (self.width - 1), 0.5 * (self.height - 1))

    def pov_camera(self, station):
        x, y, z = station.vehicle_from_camera.T

        def text(vector):
            return "<" + ", ".join(f"{value:.12f}" for value in vector) + ">"

        return (f"camera {{ perspective location {text(station.position_mm)} direction {text(z)}\n"
                f"  right {text(x * self.width / self.focal_px)} up {text(-y * self.height / self.focal_px)} }}\n")


def through_lens(pinhole_picture, pinhole, station):
    """Resamples the linear pinhole picture into the photo's frame."""
    u, v = np.meshgrid(np.arange(WIDTH, dtype=float), np.arange(HEIGHT, dtype=float))
    x, y = undistort((u - station.principal_point_px[0]) / station.focal_px,
                     (v - station.principal_point_px[1]) / station.focal_px)
    map_u = x * pinhole.focal_px + pinhole.centre_px[0]
    map_v = y * pinhole.focal_px + pinhole.centre_px[1]
    assert map_u.min() > 3 and map_v.min() > 3
    assert map_u.max() < pinhole.width - 4 and map_v.max() < pinhole.height - 4
    # cv2.remap rounds to 1/32 px; a slight blur first keeps frequencies above the photo's from folding.
    smooth = cv2.GaussianBlur(pinhole_picture, (0, 0), 0.45)
    return cv2.remap(smooth, map_u.astype(np.float32), map_v.astype(np.float32), cv2.INTER_LANCZOS4)


def srgb(linear):
    linear = np.clip(linear, 0.0, 1.0)
    return np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * np.power(linear, 1.0 / 2.4) - 0.055)


def develop(linear, station, random):
    """Blur, light fall-off, noise, tone curve and mild sharpening; returns 8-bit BGR."""
    extra = np.sqrt(max(station.blur_sigma_px ** 2 - (0.45 / OVERSAMPLING) ** 2, 0.01))
    linear = cv2.GaussianBlur(np.maximum(linear, 0.0).astype(np.float32), (0, 0), extra)
    u, v = np.meshgrid(np.arange(WIDTH) - WIDTH / 2, np.arange(HEIGHT) - HEIGHT / 2)
    fall_off = 1.0 / (1.0 + 0.35 * (u * u + v * v) / station.focal_px ** 2)
    linear = linear * (station.exposure * fall_off)[..., None]
    gain = station.iso / 100.0
    sigma = np.sqrt(2.4e-6 * gain ** 2 + 8.0e-5 * gain * linear)  # what a phone's noise filter leaves
    noise = random.standard_normal((HEIGHT, WIDTH, 1)) * 0.85 + random.standard_normal(linear.shape) * 0.35
    picture = (255.0 * srgb(linear + sigma * noise)).astype(np.float32)
    picture += 0.35 * (picture - cv2.GaussianBlur(picture, (0, 0), 1.0))
    return np.clip(np.rint(picture), 0, 255).astype(np.uint8)
