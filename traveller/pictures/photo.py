"""From the bytes of a file to a photo that may be kept: upright, not too large, silent about where it was taken.

Only the pixels are carried over, and the moment of taking if the camera wrote one. The same file always gives
the same bytes.
"""

from __future__ import annotations

import hashlib
import re
import warnings
from dataclasses import dataclass
from io import BytesIO

from PIL import Image, ImageCms

from traveller.errors import InputError

LONGEST_EDGE = 3000
"""Pixels: a print of 25 cm at 300 dots per inch."""
MOST_PIXELS = 200_000_000
LARGEST_LOSSLESS = 8 * 1024**2
JPEG_QUALITY = 90
WHOLE_SCALES = (255, 1023, 4095, 16383, 65535)
"""Cameras of 8, 10, 12, 14 and 16 bits all write 16-bit files."""
TAKEN, TAKEN_ORIGINALLY, CAMERA = 0x0132, 0x9003, 0x8769
"""DateTime, DateTimeOriginal and the directory that holds it (Exif 2.32, 4.6)."""
BEGINNINGS = (b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"II*\0", b"MM\0*", b"II+\0", b"MM\0+")
"""First bytes of a file: PNG (ISO/IEC 15948), JPEG (ISO/IEC 10918-1), TIFF 6.0 and BigTIFF in either byte order."""
ORIENTATION = 0x0112
UPRIGHT = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
"""What brings each orientation (Exif 2.32, 4.6.4) upright."""
MOMENT = re.compile(r"\d{4}:\d\d:\d\d \d\d:\d\d:\d\d")

warnings.filterwarnings("ignore", category=UserWarning, module=r"PIL\.")  # a broken file is told in our own words
Image.MAX_IMAGE_PIXELS = None  # counted in `_opened`, in words; pillow's own bound is under a large photo


@dataclass(frozen=True)
class Photo:
    """A photo as it is kept; `original` is the SHA-256 of the file it came from, `pages` how many that had."""

    name: str
    data: bytes
    media_type: str
    width: int
    height: int
    original: str
    pages: int = 1
    taken: str = ""

    def says(self) -> str:
        first = f", the first of {self.pages} pages" if self.pages > 1 else ""
        return f"{self.name}: {self.width} × {self.height} pixels{first}"


def checked_photo(name: str, data: bytes) -> Photo:
    """The photo in a PNG, JPEG or TIFF file, at most `LONGEST_EDGE` pixels long; of several pages the first.

    InputError says what is wrong with the file and what to do.
    """
    image = _opened(name, data)
    lossless = image.format in ("PNG", "TIFF")
    try:
        pages, taken = int(getattr(image, "n_frames", 1)), _taken(image)
        image.draft("RGB", (LONGEST_EDGE, LONGEST_EDGE))
        image.load()
        turn = UPRIGHT.get(_orientation(image))
        plain = _plain(name, image)
        plain = plain.transpose(turn) if turn is not None else plain
    except InputError:
        raise
    except MemoryError:
        raise InputError(f"{name} does not fit into the memory of this terminal: save it smaller.") from None
    except Exception as error:  # in a broken file each reader of pillow finds errors of its own
        raise _damaged(name, error) from None
    kept, media_type = _written(plain, lossless, taken)
    original = hashlib.sha256(data).hexdigest()
    return Photo(name, kept, media_type, plain.width, plain.height, original, pages, taken)


def _damaged(name: str, error: Exception) -> InputError:
    what = " ".join(str(error).split()) or type(error).__name__
    return InputError(f"{name} is damaged or was cut short ({what[:120]}): copy it from the camera again.")


def _opened(name: str, data: bytes) -> Image.Image:
    if not data:
        raise InputError(f"{name} is empty, it has 0 bytes: copy it from the camera again.")
    if data[4:8] == b"ftyp":
        raise InputError(f"{name} is a HEIC picture or a film: let the phone take JPEG pictures, or save it as JPEG.")
    try:
        image = Image.open(BytesIO(data), formats=("PNG", "JPEG", "TIFF"))
    except Exception as error:  # as above
        if data.startswith(BEGINNINGS):
            raise _damaged(name, error) from None
        raise InputError(f"{name} is not a PNG, JPEG or TIFF picture: save it as one of these.") from None
    width, height = image.size
    if width * height > MOST_PIXELS:
        raise InputError(
            f"{name} has {width} × {height} pixels, {width * height / 1e6:.0f} million; "
            f"{MOST_PIXELS / 1e6:.0f} million is the most: save it smaller."
        )
    return image


def _taken(image: Image.Image) -> str:
    """When the camera says that it was taken, ``2031:03:03 06:00:00``; empty when it does not."""
    try:
        exif = image.getexif()
        said = exif.get_ifd(CAMERA).get(TAKEN_ORIGINALLY) or exif.get(TAKEN) or ""
    except Exception:  # as above; a photo without its moment is still a photo
        return ""
    found = MOMENT.match(str(said))
    return found[0] if found else ""


def _orientation(image: Image.Image) -> int:
    """Asked after loading: pillow turns a TIFF by itself."""
    try:
        return int(image.getexif().get(ORIENTATION, 1))
    except Exception:  # as above; better lying on its side than refused
        return 1


def _plain(name: str, image: Image.Image) -> Image.Image:
    """Eight bits a colour, grey or RGB, on white where it was transparent, and no larger than it may be."""
    if image.mode.startswith(("I", "F")):
        image = _eight_bit(name, image)
    if image.has_transparency_data:
        image = image.convert("RGBA")
    elif image.mode not in ("L", "RGB", "CMYK"):
        image = image.convert("L" if image.mode == "1" else "RGB")
    image.thumbnail((LONGEST_EDGE, LONGEST_EDGE), Image.Resampling.LANCZOS, reducing_gap=3.0)
    image = _standard_colours(image)
    if image.mode == "RGBA":
        image = Image.alpha_composite(Image.new("RGBA", image.size, "white"), image)
    return image if image.mode == "L" else image.convert("RGB")


def _eight_bit(name: str, image: Image.Image) -> Image.Image:
    low, high = (float(str(shade)) for shade in image.getextrema())
    if image.mode.startswith("F") or not 0 <= low <= high <= WHOLE_SCALES[-1]:
        raise InputError(f"{name} holds numbers, not shades of 8 or 16 bits: save it as an 8-bit picture.")
    whole = next(scale for scale in WHOLE_SCALES if high <= scale)
    return image.convert("I").point(lambda shade: shade * (255 / whole) + 0.5).convert("L")


def _standard_colours(image: Image.Image) -> Image.Image:
    """From the camera's own colours to the standard ones, since its profile is not kept."""
    profile = image.info.get("icc_profile")
    if not profile or image.mode == "L":
        return image
    mode = "RGBA" if image.mode == "RGBA" else "RGB"
    try:
        camera = ImageCms.ImageCmsProfile(BytesIO(profile))
        changed = ImageCms.profileToProfile(image, camera, ImageCms.createProfile("sRGB"), outputMode=mode)
    except (ImageCms.PyCMSError, OSError):  # a profile that is broken or of other colours: as if there were none
        return image
    return changed or image


def _written(image: Image.Image, lossless: bool, taken: str) -> tuple[bytes, str]:
    exif = Image.Exif()
    if taken:
        exif[TAKEN] = taken
    image.info.clear()
    if lossless:
        file = BytesIO()
        image.save(file, "PNG", optimize=False, exif=exif.tobytes() if taken else b"")
        if file.tell() <= LARGEST_LOSSLESS:
            return file.getvalue(), "image/png"
    file = BytesIO()
    image.save(file, "JPEG", quality=JPEG_QUALITY, exif=exif.tobytes() if taken else b"")
    return file.getvalue(), "image/jpeg"
