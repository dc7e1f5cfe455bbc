"""The photos of a unit at 80x24: added with a path, seen as a thumbnail, taken off again."""

from __future__ import annotations

from pathlib import Path

import pytest
from rich.color_triplet import ColorTriplet

from tests.pictures.made_files import RED, corners, exif_with_place, file_of
from tests.screens.small_shop import SmallShop
from tests.screens.test_without_colour import colours
from tests.way.hands import Hands
from traveller.record.acts.rights import Proposed
from traveller.record.entries import Moved
from traveller.screens.photos import PhotosPage
from traveller.screens.unit import UnitPage


@pytest.fixture(name="phone")
def _phone(tmp_path: Path) -> Path:
    path = tmp_path / "IMG_0412.jpg"
    path.write_bytes(file_of(corners(), "JPEG", exif=exif_with_place()))
    return path


def inks(hands: Hands) -> set[ColorTriplet]:
    """The colours of the half blocks on the screen."""
    strips = hands.app.screen._compositor.render_strips()
    styles = [one.style for strip in strips for one in strip if "▀" in one.text]
    return {one.color.triplet for one in styles if one and one.color and one.color.triplet}


async def test_a_photo_of_a_work_line_is_added_seen_and_taken_off(shop: SmallShop, phone: Path) -> None:
    tag = shop.unit(serial="photos-1")
    shop.workshop.plan_work(tag, shop.technician, ["Q3"], "IGBT module", "failed")
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("f6", "f")
        assert "no photo yet: a adds one" in hands.text()
        await hands.press("a")
        await hands.fill({"files": str(phone), "of": "q3", "caption": "crack at the gate pin"})
        text = hands.text()
        assert "Q3: crack at the gate pin" in text and "Q3 IGBT module" in text and "Tomasz Reyes" in text
        assert text.count("▀") > 200, text
        assert any(all(abs(a - b) < 30 for a, b in zip(ink, RED, strict=True)) for ink in inks(hands))
        beside = text.count("▀")
        await hands.press("enter")
        assert hands.text().count("▀") > beside
        await hands.press("enter", "t")
        await hands.fill({"why": "another unit"})
        assert "no photo yet" in hands.text() and "▀" not in hands.text()
    assert [one.body.kind for one in shop.workshop.unit(tag).entries][-2:] == ["photo taken", "withdrawn"]


async def test_enter_on_an_answered_photo_check_shows_its_picture(shop: SmallShop, phone: Path) -> None:
    tag, check = shop.unit(serial="photos-2"), "diagnosis.as_opened"
    lead = next(one.tag for one in shop.workshop.shop().people.values() if one.name == "Ines Okoro")
    shop.workshop.desk.act(tag, lead, lambda _scene: [Proposed(Moved(station="diagnosis"))])
    shop.workshop.photos.take(tag, shop.technician, str(phone), caption="the carton")
    asked = shop.workshop.answer(tag, check, str(phone), shop.technician).book.check(check)
    shop.workshop.photos.take(tag, shop.technician, str(phone), caption="the lid")
    assert asked
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("pagedown")
        await hands.choose(check)
        await hands.enter()
        assert isinstance(hands.app.screen, PhotosPage)
        assert asked.ask[:20] in hands.text(), "the one that answers the check is chosen, not the newest"
        await hands.press("escape")
        assert isinstance(hands.app.screen, UnitPage)


async def test_a_file_that_is_no_picture_is_refused_and_what_was_typed_stays(shop: SmallShop, tmp_path: Path) -> None:
    tag = shop.unit(serial="photos-3")
    (tmp_path / "empty.jpg").touch()
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("f6", "f", "a")
        await hands.paste(str(tmp_path / "empty.jpg"))
        await hands.press("f10")
        assert "empty.jpg is empty, it has 0 bytes" in " ".join(hands.text().split())
        assert hands.app.focused is not None and "empty.jpg" in str(getattr(hands.app.focused, "value", ""))
    assert len(shop.workshop.unit(tag).unit.photos) == 0


async def test_without_colour_a_photo_is_shades(shop: SmallShop, phone: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    tag = shop.unit(serial="photos-4")
    shop.workshop.photos.take(tag, shop.technician, str(phone))
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("f6", "f")
        text = hands.text()
        assert "▀" not in text and sum(text.count(one) for one in "░▒▓█") > 200
        assert all(kind.name in ("DEFAULT", "STANDARD") for kind in colours(hands))
