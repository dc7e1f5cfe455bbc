"""A photo as characters: what is red stays red, what is bright stays bright, and it fits."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from tests.pictures.made_files import BLUE, GREEN, GREY, RED, corners, file_of
from traveller.pictures.thumbnail import SHADES, UPPER_HALF, in_colour, in_shades

PHOTO = file_of(corners(), "PNG")


def near(found: tuple[int, int, int] | None, colour: tuple[int, int, int]) -> bool:
    return found is not None and all(abs(a - b) < 30 for a, b in zip(found, colour, strict=True))


def test_the_corners_keep_their_colours() -> None:
    rows = in_colour(PHOTO, 20, 6)
    assert (len(rows), len(rows[0])) == (6, 20)
    assert all(cell.char == UPPER_HALF for row in rows for cell in row)
    assert near(rows[0][0].ink, RED) and near(rows[0][-1].ink, GREEN)
    assert near(rows[-1][0].paper, BLUE) and near(rows[-1][-1].paper, GREY)


@pytest.mark.parametrize(("light_ink", "bright"), [(True, "█"), (False, " ")])
def test_without_colour_brightness_is_left(light_ink: bool, bright: str) -> None:
    image = Image.new("L", (40, 20), 0)
    image.paste(255, (20, 0, 40, 20))
    rows = in_shades(file_of(image, "PNG"), 20, 6, light_ink)
    dark = SHADES[0] if light_ink else SHADES[-1]
    assert {row[1].char for row in rows} == {dark}
    assert {row[-2].char for row in rows} == {bright}
    assert all(cell.ink is None and cell.paper is None for row in rows for cell in row)


@settings(deadline=None, max_examples=60)
@given(
    st.tuples(st.integers(1, 400), st.integers(1, 400)),
    st.integers(1, 60),
    st.integers(1, 30),
    st.sampled_from(["L", "RGB"]),
)
def test_it_fits_and_keeps_its_shape(size: tuple[int, int], columns: int, rows: int, mode: str) -> None:
    data = file_of(Image.new(mode, size), "PNG")
    for drawn in (in_colour(data, columns, rows), in_shades(data, columns, rows)):
        assert 1 <= len(drawn) <= rows
        assert {len(row) for row in drawn} == {len(drawn[0])}
        assert 1 <= len(drawn[0]) <= columns
        fills = len(drawn[0]) == columns or len(drawn) == rows
        assert fills, (size, columns, rows)
