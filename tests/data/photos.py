"""Small picture files whose Exif independent programs wrote, and what another program reads from them.

    python photos.py

writes `photos/*`, `photos.csv`, `photo_tones.rgba`, `photo_tones.csv` and `photo_noise.csv` beside itself. Needs
numpy, piexif, pillow, pillow-heif, and exiftool (Debian: libimage-exiftool-perl) and ImageMagick with HEIC on the path.
Made with numpy 2.4.6, piexif 1.1.3, pillow 13.0.0, pillow-heif 1.8.1, exiftool 12.57, ImageMagick 6.9.11.

Places, cameras and lenses are invented. The expected values are exiftool's (`exiftool -n -j`), which shares no code
with the library; blank where it finds nothing that can be meant. Two files are laid out by hand, since no
program at hand writes them: raw files in boxes, and a raw file that wraps a JPEG.
"""

import csv
import json
import struct
import subprocess
from pathlib import Path

import numpy as np
import piexif
import pillow_heif
from PIL import Image

HERE = Path(__file__).parent
OUT = HERE / "photos"
pillow_heif.register_heif_opener()

E, G, Z = piexif.ExifIFD, piexif.GPSIFD, piexif.ImageIFD


def rational(value, over=1):
    return (round(value * over), over)


FULL = {
    "0th": {Z.Make: b"Tern", Z.Model: b"Tern Field 2", Z.DateTime: b"2031:03:10 09:00:00"},
    "Exif": {
        E.ExposureTime: (32, 10), E.FNumber: (110, 10), E.ISOSpeedRatings: 200, E.SensitivityType: 2,
        E.RecommendedExposureIndex: 200, E.DateTimeOriginal: b"2031:03:09 18:04:05", E.OffsetTimeOriginal: b"+05:30",
        E.SubSecTimeOriginal: b"120", E.ShutterSpeedValue: (-1678, 1000), E.ApertureValue: (6919, 1000),
        E.ExposureBiasValue: (-2, 3), E.FocalLength: (280, 10), E.FocalLengthIn35mmFilm: 42,
        E.LensModel: b"18-70mm f/3.5-4.5",
    },
    "GPS": {
        G.GPSLatitudeRef: b"N", G.GPSLatitude: (rational(49), rational(49), rational(12.34, 100)),
        G.GPSLongitudeRef: b"W", G.GPSLongitude: (rational(5), rational(37.8, 10), rational(0)),
        G.GPSAltitudeRef: 0, G.GPSAltitude: rational(6.25, 100),
    },
}


def changed(exif=(), place=(), zeroth=(), without=()):
    """The full set with some entries changed and some left out."""
    parts = {name: dict(entries) for name, entries in FULL.items()}
    parts["Exif"].update(exif)
    parts["GPS"].update(place)
    parts["0th"].update(zeroth)
    for tag in without:
        for entries in parts.values():
            entries.pop(tag, None)
    return piexif.dump(parts)


def picture():
    return Image.new("RGB", (4, 3), (40, 52, 90))


def saved(name, exif=None, **options):
    if exif:
        options["exif"] = exif
    picture().save(OUT / name, **options)


def tool(*arguments):
    subprocess.run([str(a) for a in arguments], check=True, capture_output=True)


TAGS = [
    "-ExposureTime=1/125", "-FNumber=5.6", "-ISO=800", "-DateTimeOriginal=2031:11:30 04:05:06",
    "-OffsetTimeOriginal=-03:30", "-SubSecTimeOriginal=07", "-ExposureCompensation=1.333333", "-FocalLength=14",
    "-LensModel=Fixed 14", "-Make=Petrel", "-Model=Mk II", "-GPSLatitude=33.5", "-GPSLatitudeRef=S",
    "-GPSLongitude=151.25", "-GPSLongitudeRef=E", "-GPSAltitude=12.5", "-GPSAltitudeRef#=1",
]


def by_exiftool(name, order, *tags):
    tool("exiftool", "-overwrite_original", f"-ExifByteOrder={order}", *(tags or TAGS), OUT / name)


def box(name, body, full=None):
    body = (b"" if full is None else struct.pack(">I", full << 24)) + body
    return struct.pack(">I", len(body) + 8) + name + body


def tiff(order, entries):
    """A block of one directory, laid out by hand: tag, type, values."""
    widths = {1: "B", 2: "s", 3: "H", 4: "I", 5: "II"}
    count = len(entries)
    extra_at = 8 + 2 + 12 * count + 4
    directory, extra = struct.pack(order + "H", count), b""
    for tag, kind, values in entries:
        if kind == 2:
            data, number = values, len(values)
        else:
            data = struct.pack(order + widths[kind] * (len(values) // len(widths[kind])), *values)
            number = len(values) // len(widths[kind])
        if len(data) <= 4:
            value = data.ljust(4, b"\0")
        else:
            value = struct.pack(order + "I", extra_at + len(extra))
            extra += data
        directory += struct.pack(order + "HHI", tag, kind, number) + value
    head = (b"II*\0" if order == "<" else b"MM\0*") + struct.pack(order + "I", 8)
    return head + directory + struct.pack(order + "I", 0) + extra


def by_hand():
    names = tiff("<", [(0x010F, 2, b"Tern\0"), (0x0110, 2, b"Field 3\0")])
    exposure = tiff("<", [
        (0x829A, 5, (25, 1)), (0x829D, 5, (8, 1)), (0x8827, 3, (400,)), (0x9003, 2, b"2031:03:09 19:20:21\0"),
        (0x9011, 2, b"+01:00\0"), (0x920A, 5, (35, 1)),
    ])
    place = tiff("<", [
        (1, 2, b"N\0"), (2, 5, (49, 1, 30, 1, 0, 1)), (3, 2, b"E\0"), (4, 5, (10, 1, 15, 1, 0, 1)),
    ])
    own = bytes.fromhex("85c0b687820f11e08111f4ce462b6a48")
    raw = box(b"uuid", own + box(b"CMT1", names) + box(b"CMT2", exposure) + box(b"CMT4", place))
    (OUT / "boxes.cr3").write_bytes(box(b"ftyp", b"crx \0\0\0\1crx isom") + box(b"moov", raw) + box(b"mdat", bytes(16)))
    jpeg = (OUT / "full.jpg").read_bytes()
    head = b"FUJIFILMCCD-RAW 0201FF000000".ljust(84, b"\0")
    (OUT / "wrapped.raf").write_bytes(head + struct.pack(">II", 160, len(jpeg)) + bytes(68) + jpeg)


def write_files():
    for path in OUT.glob("*"):
        # What broke an earlier reader is kept.
        if not path.name.startswith("broke-"):
            path.unlink()
    full = piexif.dump(FULL)
    for name, options in [
        ("full.jpg", {}), ("full.png", {}), ("full.webp", {"lossless": True}), ("full.tif", {}), ("full.heic", {}),
    ]:
        saved(name, full, **options)
    saved("full.avif", full)
    tool("convert", OUT / "full.jpg", OUT / "magick.heic")
    by_exiftool("magick.heic", "MM")
    tool("convert", OUT / "full.jpg", OUT / "magick.webp")
    for name, order in [
        ("tool-ii.jpg", "II"), ("tool-mm.jpg", "MM"), ("tool.png", "II"), ("tool.webp", "II"), ("tool-ii.tif", "II"),
        ("tool-mm.tif", "MM"),
    ]:
        saved(name)
        by_exiftool(name, order)
    # A raw file built on TIFF is a TIFF by another name.
    saved("tool.dng", format="TIFF")
    by_exiftool("tool.dng", "II", *TAGS, "-DNGVersion=1.4.0.0")
    for name, exif in {
        "index": changed({E.ISOSpeedRatings: 65535, E.RecommendedExposureIndex: 102400}),
        "output": changed({E.ISOSpeedRatings: 65535, E.SensitivityType: 1, E.StandardOutputSensitivity: 204800}, without=[E.RecommendedExposureIndex]),
        "speed": changed({E.ISOSpeedRatings: 65535, E.SensitivityType: 3, E.ISOSpeed: 80000}, without=[E.RecommendedExposureIndex]),
        "apex": changed(without=[E.ExposureTime, E.FNumber]),
        "zeros": changed(
            {E.ExposureTime: (1, 0), E.FNumber: (0, 0), E.ISOSpeedRatings: 0, E.FocalLength: (0, 1),
             E.FocalLengthIn35mmFilm: 0, E.ExposureBiasValue: (0, 0)},
            {G.GPSLatitude: ((49, 0), (0, 1), (0, 1)), G.GPSAltitude: (6, 0)},
            without=[E.ShutterSpeedValue, E.ApertureValue, E.RecommendedExposureIndex]),
        "blank-time": changed(
            {E.DateTimeOriginal: b"    :  :     :  :  ", E.OffsetTimeOriginal: b"   :  ", E.SubSecTimeOriginal: b"   "},
            without=[Z.DateTime]),
        "odd-time": changed({E.DateTimeOriginal: b"2031:13:09 18:04:05", E.OffsetTimeOriginal: b"+25:00"}, without=[Z.DateTime]),
        "file-time": changed(without=[E.DateTimeOriginal, E.OffsetTimeOriginal, E.SubSecTimeOriginal]),
        "no-offset": changed(without=[E.OffsetTimeOriginal]),
        "far-place": changed(place={G.GPSLatitude: ((95, 1), (0, 1), (0, 1))}),
        "bare": changed(without=list(FULL["GPS"]) + [E.LensModel, Z.Make, Z.Model]),
    }.items():
        saved(f"{name}.jpg", exif)
    saved("none.jpg")
    by_hand()


COLUMNS = {
    "shutterS": "ExifIFD:ExposureTime", "aperture": "ExifIFD:FNumber", "iso": "ExifIFD:ISO",
    "compensationStops": "ExifIFD:ExposureCompensation", "focalMm": "ExifIFD:FocalLength",
    "focal35Mm": "ExifIFD:FocalLengthIn35mmFormat", "lens": "ExifIFD:LensModel",
    "latitudeDeg": "Composite:GPSLatitude", "longitudeDeg": "Composite:GPSLongitude", "altitudeM": "Composite:GPSAltitude",
}


def expected(path):
    run = subprocess.run(["exiftool", "-n", "-j", "-G1", str(path)], check=True, capture_output=True)
    tags = json.loads(run.stdout)[0]
    # Its own groups for the same tags in files that keep their directories apart.
    for key, value in list(tags.items()):
        tags.setdefault("ExifIFD:" + key.split(":")[-1], value)

    def meant(value):
        return "" if value in (None, "undef", "inf", 0) else value

    row = {"file": path.name} | {column: meant(tags.get(tag)) for column, tag in COLUMNS.items()}
    # By the standard, where the short number is full.
    if row["iso"] == 65535:
        kinds = {1: "StandardOutputSensitivity", 2: "RecommendedExposureIndex", 3: "ISOSpeed"}
        row["iso"] = tags["ExifIFD:" + kinds[tags["ExifIFD:SensitivityType"]]]
    if not row["shutterS"]:
        row["shutterS"] = meant(tags.get("ExifIFD:ShutterSpeedValue"))
    if not row["aperture"]:
        row["aperture"] = meant(tags.get("ExifIFD:ApertureValue"))
    if not isinstance(row["latitudeDeg"], float) or abs(row["latitudeDeg"]) > 90:
        row["latitudeDeg"] = row["longitudeDeg"] = ""
    if not isinstance(row["longitudeDeg"], (int, float)):
        row["latitudeDeg"] = row["longitudeDeg"] = ""
    taken = str(tags.get("ExifIFD:DateTimeOriginal", "") or "").strip(" :0")
    taken = tags.get("ExifIFD:DateTimeOriginal") if taken else tags.get("IFD0:ModifyDate", "")
    fraction = str(tags.get("ExifIFD:SubSecTimeOriginal", "")).strip()
    if taken and taken[5:7] <= "12":
        row["atLocal"] = taken.replace(":", "-", 2).replace(" ", "T") + (f".{fraction}" if fraction else "")
    else:
        row["atLocal"] = ""
    offset = str(tags.get("ExifIFD:OffsetTimeOriginal", "")).strip(" :")
    if offset and int(offset[1:3]) <= 14:
        row["offsetMin"] = int(offset[0] + "1") * (60 * int(offset[1:3]) + int(offset[4:6]))
    else:
        row["offsetMin"] = ""
    make, model = str(tags.get("IFD0:Make", tags.get("ExifIFD:Make", ""))), str(tags.get("IFD0:Model", tags.get("ExifIFD:Model", "")))
    row["camera"] = model if model.startswith(make) else f"{make} {model}"
    return row


def write_expected():
    rows = [expected(path) for path in sorted(OUT.iterdir()) if path.suffix not in (".rgba", ".bin")]
    with (HERE / "photos.csv").open("w", newline="") as file:
        file.write("# exiftool -n -j on each file of photos/, in the units of the calls; see photos.py.\n")
        writer = csv.DictWriter(file, rows[0].keys(), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    print(len(rows), "files,", sum(path.stat().st_size for path in OUT.iterdir()), "bytes")


def decoded(encoded):
    share = encoded / 255
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


def encoded(linear):
    return 255 * np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)


def write_tones():
    """A dusk in 160 by 90 pixels, black and white at its ends; numpy's counts of it."""
    draw = np.random.default_rng(20310309)
    rows = np.linspace(0, 1, 90)[:, None, None]
    sky = np.array([60, 90, 170]) * (1 - rows) + np.array([250, 150, 70]) * rows
    noisy = sky + draw.normal(0, 30, (90, 160, 3))
    noisy[60:] *= 0.12
    noisy[70:72, ::20] = 400
    pixels = np.clip(np.rint(noisy), 0, 255).astype(np.uint8)
    rgba = np.dstack([pixels, np.full((90, 160), 255, np.uint8)])
    (HERE / "photos" / "tones.rgba").write_bytes(rgba.tobytes())
    parts = np.rint(np.array([0.2126, 0.7152, 0.0722])[:, None] * decoded(np.arange(256)) * 65534).astype(int)
    luminance = sum(parts[i][pixels[..., i]] for i in range(3))
    exact = np.rint(encoded(decoded(pixels) @ np.array([0.2126, 0.7152, 0.0722]))).astype(int)
    columns = [
        *(pixels[..., i] for i in range(3)), np.rint(encoded(luminance / 65534)).astype(int), pixels.max(axis=2), exact,
    ]
    counts = [np.bincount(column.ravel(), minlength=256) for column in columns]
    with (HERE / "photo_tones.csv").open("w") as file:
        file.write("# numpy.bincount of photos/tones.rgba; luminance in whole 65534ths, exact in floating point.\n")
        file.write("value,red,green,blue,luminance,brightest,exact\n")
        for value in range(256):
            file.write(",".join(str(v) for v in [value, *(c[value] for c in counts)]) + "\n")


def write_noise():
    """Signal over noise of simulated pixels: photons by Poisson's law, a reading with normal noise."""
    draw = np.random.default_rng(20310309)
    with (HERE / "photo_noise.csv").open("w") as file:
        file.write("# mean over standard deviation of 4 million simulated pixels.\nelectrons,readNoiseE,signalToNoise\n")
        for electrons in [1, 5, 20, 100, 1000, 20000]:
            for noise in [0, 1.5, 3, 10]:
                pixels = draw.poisson(electrons, 4_000_000) + draw.normal(0, noise, 4_000_000)
                file.write(f"{electrons},{noise},{pixels.mean() / pixels.std():.5f}\n")


if __name__ == "__main__":
    write_files()
    write_expected()
    write_tones()
    write_noise()
