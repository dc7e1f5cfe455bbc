"""Thermal pictures from files: what is read, what is kept, what is refused, how it is drawn."""

from __future__ import annotations

import io
import math
from array import array
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from traveller.errors import InputError
from traveller.pictures.grid import packed, read_grid, unpacked
from traveller.pictures.heat_map import RAMP, colour, fitted, halves, shade, share
from traveller.record.thermal import Grid, heat_of, points_of, read_area, similar_to

TEMPERATURES = st.one_of(st.floats(-60, 1000), st.just(math.nan))


@st.composite
def grids(draw: st.DrawFn) -> Grid:
    width, height = draw(st.integers(4, 12)), draw(st.integers(4, 12))
    points = draw(st.lists(TEMPERATURES, min_size=width * height, max_size=width * height))
    points[0] = draw(st.floats(-60, 1000))
    return Grid(width, height, points)


def picture(mode: str, points: list[int] | list[float], size: tuple[int, int], form: str = "PNG") -> bytes:
    codes = {"I;16": "H", "I;16B": "H", "F": "f", "L": "B"}
    raw = array(codes[mode], points)
    if mode == "I;16B":
        raw.byteswap()
    file = io.BytesIO()
    Image.frombytes(mode, size, raw.tobytes()).save(file, form)
    return file.getvalue()


@given(grids())
def test_what_is_kept_is_what_was_read_within_a_hundredth_of_a_kelvin(grid: Grid) -> None:
    kept = unpacked(packed(grid))
    assert (kept.width, kept.height) == (grid.width, grid.height)
    for one, other in zip(grid.celsius, kept.celsius, strict=True):
        assert math.isnan(one) == math.isnan(other)
        assert math.isnan(one) or abs(one - other) <= 0.0101


@given(grids(), st.sampled_from([";", "\t", ","]), st.booleans())
def test_a_table_is_read_whatever_its_separator_and_decimal_sign(grid: Grid, separator: str, heading: bool) -> None:
    comma = separator != ","
    cells = [f"{one:.3f}" if not math.isnan(one) else "nan" for one in grid.celsius]
    cells = [one.replace(".", ",") for one in cells] if comma else cells
    rows = [separator.join(cells[n * grid.width : (n + 1) * grid.width]) for n in range(grid.height)]
    text = "\n".join((["Camera of the bench", "made on Tuesday"] if heading else []) + rows)
    read, how = read_grid("bench.csv", text.encode("utf-8-sig"))
    assert how == "°C as in the file"
    assert np.allclose(read.celsius, grid.celsius, atol=0.0006, equal_nan=True)


@pytest.mark.parametrize("form", ["PNG", "TIFF"])
def test_sixteen_bit_counts_take_scale_and_offset(form: str) -> None:
    """Hundredths of a kelvin: 29 815 counts are 25.00 °C (0 °C is 273.15 K, SI brochure, 9th edition)."""
    data = picture("I;16", [29815] * 15 + [35815], (4, 4), form)
    grid, how = read_grid("camera", data, scale=0.01, offset=-273.15)
    assert grid.at(0, 0) == pytest.approx(25.0)
    assert grid.at(3, 3) == pytest.approx(85.0)
    assert how == "°C = number × 0.01 − 273.15"


def test_big_endian_counts_are_the_same_counts() -> None:
    data = picture("I;16B", [29815] * 16, (4, 4), "TIFF")
    assert read_grid("camera", data, 0.01, -273.15)[0].at(1, 1) == pytest.approx(25.0)


def test_a_picture_of_floats_is_celsius_as_it_stands() -> None:
    data = picture("F", [21.5] * 16, (4, 4), "TIFF")
    assert read_grid("camera", data)[0].at(2, 2) == pytest.approx(21.5)


REFUSED = {
    "nothing": (b"", "is empty"),
    "counts without scale": (picture("I;16", [29815] * 16, (4, 4)), "give scale and offset"),
    "a coloured picture": (picture("L", [3] * 16, (4, 4)), "no longer in it"),
    "cut off": (picture("I;16", [29815] * 16, (4, 4))[:40], "cannot be read as a picture"),
    "rubbish": (b"\x00\x01\x02\x7f\x00" * 30, "neither a table nor"),
    "words": (b"this is a letter\nto a friend\n", "no rows of at least"),
    "a row too short": (b"20,20,20,20\n20,20,20\n20,20,20,20\n20,20,20,20\n", "line 2"),
    "a word among numbers": (b"20,20,20,20\n20,warm,20,20\n", 'line 2: "warm"'),
    "kelvin": (b"298,298,298,298\n" * 3 + b"298,298,298,2980\n", "no temperature of a bench"),
    "too few rows": (b"20,20,20,20\n20,20,20,20\n", "at least 4"),
    "all missing": (b"nan,nan,nan,nan\n" * 4, "No point of the picture"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_a_file_that_is_no_thermal_picture_is_refused_in_words(case: str) -> None:
    data, words = REFUSED[case]
    with pytest.raises(InputError, match=words.replace("(", r"\(")):
        read_grid("bench.csv", data)


@given(st.binary(max_size=400))
def test_any_bytes_are_a_grid_or_a_sentence(data: bytes) -> None:
    try:
        read_grid("any", data, 0.01, 0.0)
    except InputError as error:
        assert str(error).strip()


# ---- areas --------------------------------------------------------------------------------------------------


@given(grids(), st.data())
def test_the_hottest_of_an_area_is_that_of_numpy(grid: Grid, data: st.DataObject) -> None:
    """numpy (nanmax, nanmean) is the independent reference."""
    left, top = data.draw(st.integers(0, grid.width - 1)), data.draw(st.integers(0, grid.height - 1))
    width, height = data.draw(st.integers(1, grid.width - left)), data.draw(st.integers(1, grid.height - top))
    area = read_area(f"Q1={left},{top},{width},{height}")
    part = np.array(grid.celsius).reshape(grid.height, grid.width)[top : top + height, left : left + width]
    if np.isnan(part).all():
        with pytest.raises(InputError, match="none of its points"):
            heat_of(grid, area)
        return
    heat = heat_of(grid, area)
    assert heat.hottest == np.nanmax(part)
    assert heat.mean == pytest.approx(np.nanmean(part))
    assert grid.at(*heat.at) == heat.hottest


@given(st.integers(1, 60), st.integers(1, 60))
def test_an_ellipse_holds_about_pi_quarters_of_its_box(width: int, height: int) -> None:
    """Area of an ellipse with the half axes a and b is π·a·b."""
    points = sum(1 for _ in points_of(read_area(f"Q=ellipse:3,4,{width},{height}")))
    assert points == pytest.approx(math.pi / 4 * width * height, abs=1.2 * (width + height))


def test_an_area_is_compared_with_the_median_of_its_siblings() -> None:
    grid = Grid(4, 4, [50, 52, 90, 20] + [20.0] * 12)
    areas = [read_area(f"Q{n + 1}={n},0,1,1", "bridge") for n in range(3)] + [read_area("L1=3,0,1,1")]
    heats = [(area, heat_of(grid, area)) for area in areas]
    assert similar_to(areas[2], heats) == 51
    assert similar_to(areas[3], heats) is None


@pytest.mark.parametrize("typed", ["", "Q1", "Q1=1,2,3", "Q1=1,2,0,4", "=1,2,3,4", "Q1=circle:1,2,3,4", "Q1=a,b,c,d"])
def test_an_area_that_is_none_is_refused_in_words(typed: str) -> None:
    with pytest.raises(InputError, match="area"):
        read_area(typed)


def test_an_area_outside_the_picture_is_refused_in_words() -> None:
    with pytest.raises(InputError, match="reaches out of the picture"):
        heat_of(Grid(4, 4, [20.0] * 16), read_area("Q1=2,2,3,1"))


# ---- drawing ------------------------------------------------------------------------------------------------


@given(grids(), st.integers(1, 40), st.integers(1, 20))
def test_no_hot_spot_is_lost_in_drawing(grid: Grid, columns: int, lines: int) -> None:
    cells = halves(grid, columns, lines)
    drawn = [one for row in cells for pair in row for one in pair if not math.isnan(one)]
    assert max(drawn) == grid.bounds()[1]


@given(grids(), st.integers(8, 100), st.integers(4, 40))
def test_a_drawing_fits_its_room(grid: Grid, columns: int, lines: int) -> None:
    across, down = fitted(grid, columns, lines)
    assert 1 <= across <= columns
    assert 1 <= down <= lines


def test_every_step_of_the_ramp_is_lighter_than_the_one_before() -> None:
    """Relative luminance as WCAG 2.2 defines it, so that the picture reads in grey and in a print."""

    def luminance(parts: tuple[int, int, int]) -> float:
        linear = [c / 3294.6 if c <= 10 else ((c / 255 + 0.055) / 1.055) ** 2.4 for c in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    steps = [luminance(colour(n / 60)) for n in range(61)]
    assert all(later > earlier for earlier, later in pairwise(steps))
    assert colour(0.0) == RAMP[0]
    assert colour(1.0) == RAMP[-1]


@given(st.floats(-100, 1200), st.floats(-60, 500), st.floats(0, 500))
def test_hotter_never_has_less_ink(celsius: float, coldest: float, span: float) -> None:
    ink = " .:-=+*#%@"
    here = share(celsius, coldest, coldest + span)
    warmer = share(celsius + 5, coldest, coldest + span)
    assert ink.index(shade(here)) <= ink.index(shade(warmer))
