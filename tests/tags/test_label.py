"""Labels and codes, read back by zxing-cpp, an independent reader (https://github.com/zxing-cpp/zxing-cpp)."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from typing import Literal

import numpy as np
import pytest
import zxingcpp
from PIL import Image, ImageDraw, ImageFilter

from traveller.errors import InputError
from traveller.serving.token import new_token
from traveller.tags import TagKind, make_tag, next_tag, read_tag
from traveller.tags.code import link_text, qr_matrix, qr_text
from traveller.tags.label import Label, draw_label

Dpi = Literal[203, 300, 600]
DPIS: tuple[Dpi, ...] = (203, 300, 600)
UNIT = read_tag("U000427T")
PLAIN = Label(UNIT, "AC drive", "Hartwell Mills", ("stored charge",))
CROWDED = Label(
    UNIT,
    "Thyristor converter with field supply and speed feedback",
    "Northern Paper and Board Company",
    ("stored charge", "hot", "battery", "contamination"),
)
MODULES_WITH_QUIET_ZONE = 29  # 21 modules of version 1 and 4 on each side, ISO/IEC 18004


def picture(label: Label, dpi: Dpi = 300, **size: float) -> Image.Image:
    return Image.open(io.BytesIO(draw_label(label, dpi, **size)))


def read(image: Image.Image) -> str | None:
    """What the independent reader finds, or None."""
    found = zxingcpp.read_barcodes(np.asarray(image.convert("L")))
    return found[0].text if found else None


def module_dots(image: Image.Image) -> float:
    """Dots per module as the independent reader sees them: its corners are those of the 21 modules."""
    corners = zxingcpp.read_barcodes(np.asarray(image.convert("L")))[0].position
    return (corners.top_right.x - corners.top_left.x + 1) / 21


@pytest.mark.parametrize("kind", TagKind)
def test_the_code_is_version_1_level_h_and_reads_back(kind: TagKind) -> None:
    tag = read_tag(next_tag(kind, 123_456)[0])
    matrix = qr_matrix(tag)
    assert len(matrix) == 21 and all(len(row) == 21 for row in matrix)
    dots = np.kron(np.pad(~np.array(matrix), 4, constant_values=True), np.ones((4, 4), dtype=bool))
    found = zxingcpp.read_barcodes(dots.astype(np.uint8) * 255)
    assert [code.text for code in found] == [tag.text]
    assert found[0].ec_level == "H"


def test_the_terminal_code_is_the_same_code() -> None:
    lines = qr_text(UNIT)
    assert len(lines) == 15 and {len(line) for line in lines} == {MODULES_WITH_QUIET_ZONE}
    assert read(shown(lines)) == UNIT.text


def test_the_code_of_a_link_fits_a_terminal_and_is_read_back() -> None:
    link = f"https://bench-3.sandbeck.example:8443/?token={new_token()}"
    lines = link_text(link)
    assert len(lines) <= 24
    assert read(shown(lines)) == link


def shown(lines: list[str]) -> Image.Image:
    """As it stands on the terminal, four dots a module."""
    upper = [[cell in "▀█" for cell in line] for line in lines]
    lower = [[cell in "▄█" for cell in line] for line in lines]
    dark = np.array([row for pair in zip(upper, lower, strict=True) for row in pair])
    return Image.fromarray(np.kron(~dark, np.ones((4, 4), dtype=bool)).astype(np.uint8) * 255)


@pytest.mark.parametrize("dpi", DPIS)
@pytest.mark.parametrize("label", [PLAIN, CROWDED, Label(UNIT, "")])
def test_labels_read_back_at_the_printers_own_dots(label: Label, dpi: Dpi) -> None:
    image = picture(label, dpi)
    assert read(image) == UNIT.text
    assert image.mode == "1"
    assert image.size == (round(50 / 25.4 * dpi), round(25 / 25.4 * dpi))
    assert image.info["dpi"] == pytest.approx((dpi, dpi), abs=0.05)
    assert module_dots(image) >= 4


@pytest.mark.parametrize("dpi", DPIS)
@pytest.mark.parametrize("label", [PLAIN, CROWDED])
def test_modules_are_whole_dots_and_the_quiet_zone_is_clear(label: Label, dpi: Dpi) -> None:
    dark = ~np.asarray(picture(label, dpi))
    # The bar across the top of the first finder pattern is 7 dark modules (ISO/IEC 18004).
    top = int(np.argmax(dark[:, : dark.shape[1] * 2 // 5].any(axis=1)))
    first = int(np.argmax(dark[top]))
    module = int(np.argmin(dark[top, first:])) // 7
    code = dark[top : top + 21 * module, first : first + 21 * module]
    blocks = code.reshape(21, module, 21, module)
    assert (blocks.all(axis=(1, 3)) | ~blocks.any(axis=(1, 3))).all()
    assert (blocks.all(axis=(1, 3)) == np.array(qr_matrix(UNIT))).all()
    zone = dark[top - 4 * module : top + 25 * module, first - 4 * module : first + 25 * module].copy()
    assert top >= 4 * module and first >= 4 * module
    zone[4 * module : -4 * module, 4 * module : -4 * module] = False
    assert not zone.any()


@pytest.mark.parametrize("dpi", DPIS)
def test_long_texts_stay_inside_the_label(dpi: Dpi) -> None:
    long = Label(UNIT, "W" * 200, "M" * 200, ("x" * 200,))
    dark = ~np.asarray(picture(long, dpi))
    edge = round(1 / 25.4 * dpi)
    assert not dark[:, -edge:].any() and not dark[:edge].any() and not dark[-edge:].any()
    assert read(picture(long, dpi)) == UNIT.text


def test_each_text_changes_the_picture_and_accents_are_left_off() -> None:
    plain = draw_label(PLAIN)
    assert draw_label(Label(UNIT, "DC drive", "Hartwell Mills", ("stored charge",))) != plain
    assert draw_label(Label(UNIT, "AC drive", "Hartwell Mill", ("stored charge",))) != plain
    assert draw_label(Label(UNIT, "AC drive", "Hartwell Mills", ("hot",))) != plain
    assert draw_label(Label(UNIT, "Ines Öberg-Łoś")) == draw_label(Label(UNIT, "Ines Oberg-Los"))


def test_a_tall_label_still_names_its_hazard() -> None:
    hot, charged = (Label(UNIT, "AC drive", hazards=(word,)) for word in ("hot", "stored charge"))
    assert draw_label(hot, 300, 30, 150) != draw_label(charged, 300, 30, 150)


def test_more_hazards_than_lines_are_counted() -> None:
    three = draw_label(Label(UNIT, "AC drive", hazards=("hot", "battery", "+2 more hazards")))
    four = draw_label(Label(UNIT, "AC drive", hazards=("hot", "battery", "energised", "contamination")))
    assert four == three


def test_a_small_label_falls_back_to_three_dots() -> None:
    small = picture(PLAIN, 203, width_mm=30, height_mm=12)
    assert module_dots(small) == pytest.approx(3, abs=0.1)
    assert read(small) == UNIT.text


@pytest.mark.parametrize(
    ("width", "height", "sentence"),
    [
        (50, 10, r"50 x 10 mm at 203 dots per inch is too small for its code; take one at least .* mm wide"),
        (20, 25, "too small for its code"),
        (0, 25, "cannot be 0 mm long"),
        (float("nan"), 25, "cannot be nan mm long"),
        (1e9, 25, "give a size between"),
    ],
)
def test_a_label_of_no_use_is_refused_in_a_sentence(width: float, height: float, sentence: str) -> None:
    with pytest.raises(InputError, match=sentence):
        draw_label(PLAIN, 203, width, height)


def turned(image: Image.Image) -> Iterator[Image.Image]:
    for angle in range(0, 360, 15):
        yield image.rotate(angle, expand=True, fillcolor=255, resample=Image.Resampling.BILINEAR)


def blurred(image: Image.Image) -> Iterator[Image.Image]:
    """Out of focus, up to a spread (standard deviation) of half a module, where the modules run together."""
    module = module_dots(image)
    for share in (0.1, 0.2, 0.3, 0.4, 0.5):
        yield image.filter(ImageFilter.GaussianBlur(module * share))


def noised(image: Image.Image) -> Iterator[Image.Image]:
    """Grain on every dot, with a spread of up to a fifth of the way from black to white."""
    dots = np.asarray(image, dtype=float)
    for seed, spread in enumerate((10, 20, 30, 40, 50)):
        grain = np.random.default_rng(seed).normal(0, spread, dots.shape)
        yield Image.fromarray(np.clip(dots + grain, 0, 255).astype(np.uint8))


def dirty(image: Image.Image) -> Iterator[Image.Image]:
    """A dark and a light smudge over the lower right corner of the code, up to 6 of its 21 modules wide."""
    corners = zxingcpp.read_barcodes(np.asarray(image))[0].position
    corner, module = corners.bottom_right, module_dots(image)
    for modules in (3, 4, 5, 6):
        for ink in (0, 255):
            copy = image.copy()
            reach = modules * module
            ImageDraw.Draw(copy).rectangle((corner.x - reach, corner.y - reach, corner.x, corner.y), fill=ink)
            yield copy


@pytest.mark.parametrize("dpi", DPIS)
@pytest.mark.parametrize(
    ("harm", "floor"),
    [(turned, 1.0), (blurred, 0.9), (noised, 0.8), (dirty, 1.0)],
    ids=["turned", "blurred", "noised", "dirty"],
)
def test_harmed_labels_are_still_read(
    harm: Callable[[Image.Image], Iterator[Image.Image]],
    floor: float,
    dpi: Dpi,
    capsys: pytest.CaptureFixture[str],
) -> None:
    tags = [read_tag(tag) for number in (427, 90_210, 777_001) if (tag := make_tag(TagKind.UNIT, number))]
    results = [
        read(harmed) == tag.text
        for tag in tags
        for harmed in harm(picture(Label(tag, "AC drive", "Hartwell Mills", ("hot",)), dpi).convert("L"))
    ]
    rate = sum(results) / len(results)
    with capsys.disabled():
        print(f"\n{harm.__name__} labels at {dpi} dpi: {sum(results)} of {len(results)} read")
    assert rate >= floor
