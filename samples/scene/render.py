# SPDX-License-Identifier: Apache-2.0
"""Renders the photos: POV-Ray draws, camera.py photographs.

usage: render.py WORK_FOLDER PHOTO_FOLDER [--preview] [--only N,N,...]
"""
import argparse
import fractions
import pathlib
import subprocess
import sys

import cv2
import numpy as np
import piexif

import camera
import povscene
from stations import SEED, all_stations

HERE = pathlib.Path(__file__).resolve().parent
JPEG_QUALITY = 86


def run_povray(work, station, pinhole, antialias):
    (work / "camera.inc").write_text(pinhole.pov_camera(station))
    picture = work / f"{station.name}.png"
    command = ["povray", f"+I{HERE / 'corner.pov'}", f"+O{picture}", f"+L{work}", f"+L{HERE}",
               f"+W{pinhole.width}", f"+H{pinhole.height}", "+FN16", "File_Gamma=1.0", "Work_Threads=1", "+BM2", "-D", "-J",
               "Verbose=off"] + antialias
    done = subprocess.run(command, cwd=work, capture_output=True, text=True)
    if done.returncode != 0:
        sys.exit(done.stderr[-3000:])
    return picture


def exif_bytes(station, index):
    def ratio(value, limit=10000):
        part = fractions.Fraction(value).limit_denominator(limit)
        return part.numerator, part.denominator

    when = f"2026:04:12 {10 + index // 60:02d}:{index % 60:02d}:{(index * 17) % 60:02d}".encode()
    return piexif.dump({
        "0th": {piexif.ImageIFD.Make: b"Halm", piexif.ImageIFD.Model: b"Pocket 3",
                piexif.ImageIFD.Orientation: station.orientation, piexif.ImageIFD.XResolution: (72, 1),
                piexif.ImageIFD.YResolution: (72, 1), piexif.ImageIFD.ResolutionUnit: 2,
                piexif.ImageIFD.Software: b"invented", piexif.ImageIFD.DateTime: when},
        "Exif": {piexif.ExifIFD.ExposureTime: ratio(station.exposure_time_s), piexif.ExifIFD.FNumber: (18, 10),
                 piexif.ExifIFD.ISOSpeedRatings: station.iso, piexif.ExifIFD.ExifVersion: b"0232",
                 piexif.ExifIFD.DateTimeOriginal: when, piexif.ExifIFD.DateTimeDigitized: when,
                 piexif.ExifIFD.FocalLength: (56, 10), piexif.ExifIFD.FocalLengthIn35mmFilm: 26,
                 piexif.ExifIFD.ColorSpace: 1, piexif.ExifIFD.PixelXDimension: camera.WIDTH,
                 piexif.ExifIFD.PixelYDimension: camera.HEIGHT, piexif.ExifIFD.LensMake: b"Halm",
                 piexif.ExifIFD.LensModel: b"Halm Pocket 3 main lens 5.6mm f/1.8"},
    })


def photograph(picture, pinhole, station, index, target):
    linear = cv2.imread(str(picture), cv2.IMREAD_UNCHANGED)
    assert linear.dtype == np.uint16 and linear.shape[:2] == (pinhole.height, pinhole.width)
    linear = linear[..., :3].astype(np.float32) / 65535.0
    developed = camera.develop(camera.through_lens(linear, pinhole, station), station,
                               np.random.default_rng([SEED, index]))
    _, jpeg = cv2.imencode(".jpg", developed, [cv2.IMWRITE_JPEG_QUALITY, JPEG_QUALITY])
    piexif.insert(exif_bytes(station, index), jpeg.tobytes(), str(target))


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("work")
    parser.add_argument("photos")
    parser.add_argument("--preview", action="store_true")
    parser.add_argument("--only")
    options = parser.parse_args()
    work, photos = pathlib.Path(options.work).resolve(), pathlib.Path(options.photos).resolve()
    photos.mkdir(parents=True, exist_ok=True)
    povscene.write(work)
    wanted = None if options.only is None else {int(text) for text in options.only.split(",")}
    for index, station in enumerate(all_stations()):
        if wanted is not None and index not in wanted:
            continue
        pinhole = camera.Pinhole(station, 0.5 if options.preview else 1.0)
        antialias = ["-A", "+Q3"] if options.preview else ["+A0.12", "+AM2", "+R2"]
        picture = run_povray(work, station, pinhole, antialias)
        if options.preview:
            shown = cv2.imread(str(picture), cv2.IMREAD_UNCHANGED)[..., :3] / 65535.0
            upright = {1: 0, 6: -1, 8: 1}[station.orientation]
            cv2.imwrite(str(photos / f"{station.name}.png"),
                        np.rot90((255 * camera.srgb(shown * station.exposure)).astype(np.uint8), upright))
        else:
            target = photos / f"{station.name}.jpg"
            target.write_bytes(b"")
            photograph(picture, pinhole, station, index, target)
            picture.unlink()
        print(station.name, flush=True)


if __name__ == "__main__":
    main()
