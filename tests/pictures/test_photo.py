"""Photos as they come and as they are kept. What is kept is read back with pillow and searched byte by byte."""

from __future__ import annotations

import hashlib
import struct
from io import BytesIO
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageCms

from tests.pictures.made_files import (
    colour_at,
    corners,
    exif_with_place,
    file_of,
    looks_like_corners,
    png_that_says,
    tiff_16_bit_rgb,
)
from traveller.errors import InputError
from traveller.pictures.photo import LARGEST_LOSSLESS, LONGEST_EDGE, checked_photo


def deep(most: int) -> bytes:
    """A 16-bit grey TIFF as a camera with `most` shades writes it: left half dark, right half full."""
    image = Image.new("I;16", (40, 20), 0)
    image.paste(most, (20, 0, 40, 20))
    return file_of(image, "TIFF")


KINDS = {
    "png": file_of(corners(), "PNG"),
    "png with palette": file_of(corners().convert("P"), "PNG"),
    "png with alpha": file_of(corners().convert("RGBA"), "PNG"),
    "jpeg": file_of(corners(), "JPEG"),
    "jpeg progressive": file_of(corners(), "JPEG", progressive=True),
    "jpeg for printing (CMYK)": file_of(corners().convert("CMYK"), "JPEG"),
    "tiff": file_of(corners(), "TIFF"),
    "tiff packed": file_of(corners(), "TIFF", compression="tiff_lzw"),
    "tiff for printing (CMYK)": file_of(corners().convert("CMYK"), "TIFF"),
    "tiff of several pages": file_of(corners(), "TIFF", save_all=True, append_images=[Image.new("RGB", (9, 9))] * 2),
    "png that moves": file_of(corners(), "PNG", save_all=True, append_images=[Image.new("RGB", (80, 48))]),
    "two pictures in one jpeg (MPO)": file_of(corners(), "MPO", save_all=True, append_images=[corners()]),
}


@pytest.mark.parametrize("kind", KINDS)
def test_a_photo_of_each_kind_is_kept_and_looks_the_same(kind: str) -> None:
    photo = checked_photo("board", KINDS[kind])
    assert photo.media_type == ("image/jpeg" if "jpeg" in kind else "image/png")
    assert (photo.width, photo.height) == (80, 48)
    assert looks_like_corners(photo.data), kind
    assert photo.original == hashlib.sha256(KINDS[kind]).hexdigest()
    assert Image.open(BytesIO(photo.data)).mode == "RGB"


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_file_gives_the_same_bytes(kind: str) -> None:
    assert checked_photo("a", KINDS[kind]).data == checked_photo("b", KINDS[kind]).data


def test_of_several_pages_the_first_is_kept_and_it_is_said() -> None:
    photo = checked_photo("stack.tif", KINDS["tiff of several pages"])
    assert photo.says() == "stack.tif: 80 × 48 pixels, the first of 3 pages"


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF"])
@pytest.mark.parametrize("orientation", range(1, 9))
def test_each_orientation_comes_upright(kind: str, orientation: int) -> None:
    """Exif 2.32, 4.6.4: the value says which corner of the stored rows is the top left of the picture."""
    undo = {
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_90,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_270,
    }
    stored = corners().transpose(undo[orientation]) if orientation > 1 else corners()
    exif = Image.Exif()
    exif[0x0112] = orientation
    photo = checked_photo("phone", file_of(stored, kind, exif=exif.tobytes()))
    assert (photo.width, photo.height) == (80, 48)
    assert looks_like_corners(photo.data)
    assert Image.open(BytesIO(photo.data)).getexif().get(0x0112, 1) == 1


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_where_it_was_taken_is_gone_and_when_is_kept(kind: str) -> None:
    came = file_of(corners(), kind, exif=exif_with_place(6))
    assert Image.open(BytesIO(came)).getexif().get_ifd(0x8825)[2] == (53.0, 33.0, 12.5)
    photo = checked_photo("phone", came)
    exif = Image.open(BytesIO(photo.data)).getexif()
    assert dict(exif.get_ifd(0x8825)) == {}
    assert dict(exif) == {0x0132: "2031:03:03 06:00:00"}
    assert photo.taken == "2031:03:03 06:00:00"
    assert b"PHONEMAKER" in came and b"PHONEMAKER" not in photo.data
    degrees = [struct.pack(order + "II", 53, 1) for order in "<>"]
    assert any(one in came for one in degrees)
    assert not any(one in photo.data for one in degrees)


def test_comments_profiles_and_other_words_are_gone() -> None:
    secret = b"53.5535 N 9.9925 E"
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    came = file_of(corners(), "JPEG", comment=secret, icc_profile=profile, xmp=b"<x>" + secret + b"</x>")
    kept = checked_photo("phone", came).data
    assert secret in came and secret not in kept
    assert Image.open(BytesIO(kept)).info.keys() <= {"jfif", "jfif_version", "jfif_unit", "jfif_density", "dpi"}
    assert looks_like_corners(kept)


@pytest.mark.parametrize("most", [255, 1023, 4095, 16383, 65535])
def test_the_shades_of_deep_cameras_are_not_lost(most: int) -> None:
    data = checked_photo("microscope", deep(most)).data
    assert colour_at(data, (0.25, 0.5)) == (0, 0, 0)
    assert colour_at(data, (0.75, 0.5)) == (255, 255, 255)


def test_sixteen_bits_of_each_colour_are_read() -> None:
    photo = checked_photo("microscope", tiff_16_bit_rgb())
    assert colour_at(photo.data, (0.5, 0.5)) == (60000 >> 8, 2000 >> 8, 2000 >> 8)


def test_clear_places_become_white() -> None:
    data = checked_photo("drawn", file_of(Image.new("RGBA", (9, 9), (255, 0, 0, 0)), "PNG")).data
    assert colour_at(data, (0.5, 0.5)) == (255, 255, 255)


@pytest.mark.parametrize("size", [(9000, 6700), (6000, 10000)], ids=str)
def test_a_photo_of_sixty_million_pixels_is_made_smaller(size: tuple[int, int]) -> None:
    photo = checked_photo("phone", file_of(corners(size), "JPEG"))
    assert max(photo.width, photo.height) == LONGEST_EDGE
    assert photo.width / photo.height == pytest.approx(size[0] / size[1], rel=1e-3)
    assert looks_like_corners(photo.data)


def test_a_noisy_lossless_picture_becomes_small_enough_to_keep() -> None:
    noise = Random(1).randbytes(2000 * 1500 * 3)
    came = file_of(Image.frombytes("RGB", (2000, 1500), noise), "TIFF")
    photo = checked_photo("microscope", came)
    assert photo.media_type == "image/jpeg" and len(photo.data) < 2 * LARGEST_LOSSLESS


@pytest.mark.parametrize(
    ("name", "data", "says"),
    [
        ("empty.jpg", b"", r"empty\.jpg is empty, it has 0 bytes"),
        ("zeros.jpg", bytes(100_000), "is not a PNG, JPEG or TIFF picture"),
        ("letter.png", b"Dear customer", "is not a PNG, JPEG or TIFF picture"),
        ("scan.pdf", b"%PDF-1.7\n", "is not a PNG, JPEG or TIFF picture"),
        ("film.gif", file_of(corners(), "GIF"), "is not a PNG, JPEG or TIFF picture"),
        ("phone.heic", b"\0\0\0\x18ftypheic" + bytes(80), "HEIC picture or a film"),
        ("short.jpg", KINDS["jpeg"][:-400], "is damaged or was cut short"),
        ("short.png", KINDS["png"][:60], "is damaged or was cut short"),
        ("short.tif", KINDS["tiff"][:4000], "damaged or was cut short|is not a PNG, JPEG or TIFF"),
        ("bomb.png", png_that_says(20_000, 10_001), r"20000 × 10001 pixels, 200 million; 200 million is the most"),
        ("bomb.png", png_that_says(2**31 - 1, 2**31 - 1), "million is the most"),
        ("numbers.tif", file_of(Image.new("F", (5, 5), 3.5), "TIFF"), "holds numbers, not shades"),
    ],
)
def test_what_cannot_be_kept_is_refused_in_words(name: str, data: bytes, says: str) -> None:
    with pytest.raises(InputError, match=says) as refused:
        checked_photo(name, data)
    assert str(refused.value).startswith(name)


@settings(deadline=None)
@given(
    kind=st.sampled_from(sorted(KINDS)),
    cut=st.integers(0, 6000),
    at=st.integers(0, 6000),
    put=st.binary(max_size=8),
)
def test_a_damaged_file_gives_a_photo_or_a_sentence(kind: str, cut: int, at: int, put: bytes) -> None:
    whole = KINDS[kind]
    data = whole[: len(whole) - cut % len(whole)]
    data = data[: at % len(data)] + put + data[at % len(data) + len(put) :] if data else put
    try:
        photo = checked_photo("x.jpg", data)
    except InputError as error:
        assert str(error).startswith("x.jpg ")
        assert "\n" not in str(error)
    else:
        assert Image.open(BytesIO(photo.data)).size == (photo.width, photo.height)


@settings(deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes_at_all_are_refused_in_words(data: bytes) -> None:
    with pytest.raises(InputError):
        checked_photo("x.png", data)
