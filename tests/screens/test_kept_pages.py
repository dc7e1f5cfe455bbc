"""While the database is away the pages of a unit go on, and say by word and sign what of theirs is kept here."""

from __future__ import annotations

from pathlib import Path

from PIL import Image
from textual.widgets import Input

from tests.pictures.made_files import file_of
from tests.screens.places import fields
from tests.screens.small_shop import SmallShop
from tests.screens.test_kept import away, share, words
from traveller.record.photos import all_photos


async def test_photos_runs_and_a_note_to_the_shop_are_kept_shown_and_shared(shop: SmallShop, tmp_path: Path) -> None:
    picture = tmp_path / "burnt.png"
    picture.write_bytes(file_of(Image.new("RGB", (64, 48), "brown"), "PNG"))
    tag = shop.unit()
    async with shop.terminal() as hands:
        await hands.scan(tag)
        with away(hands):
            await hands.press("f6", "f", "a")
            await hands.fill({"files": str(picture), "caption": "burnt land"})
            assert "⇡ kept · unit: burnt land" in words(hands)
            assert "added. ⇡ kept here, not yet shared: the database is away." in words(hands)
            await hands.press("escape", "f6", "k", "n")
            await hands.fill({"test": "warm start"})
            await hands.press("space", "space", "x")
            line = next(line for line in hands.text().splitlines() if "warm start  " in line)
            assert line.split() == ["warm", "start", "3", "1", "⇡", "kept"]
            await hands.press("escape", "f11", "n")
            await hands.fill({"next": "oven 2 until nine"})
            assert "⇡ kept · next: oven 2 until nine" in words(hands)
            assert "kept here, not yet shared: 3" in hands.text().splitlines()[0]
            assert all_photos(shop.workshop.unit(tag).unit) == []
        await share(hands)
        now = shop.workshop.unit(tag)
        (photo,) = all_photos(now.unit)
        assert shop.workshop.photos.picture(photo.sha256)
        assert len(now.unit.runs) == 1
        assert len(shop.workshop.shop().notices.notes) == 1
        assert "⇡" not in hands.text()


async def test_what_is_refused_while_away_keeps_what_was_typed(shop: SmallShop) -> None:
    """The customer's word and booking in need the database: a plain sentence, and the fields as they were."""
    tag = shop.unit()
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("f6", "i")
        with away(hands):
            await hands.press("a")
            typed = {"who": "Ms Aalto", "how": "by letter", "on": "2026-11-02", "up_to": "400", "currency": "EUR"}
            for name, text in typed.items():
                hands.app.screen.query_one(f"#line-{name}", Input).value = text
            await hands.press("f10")
            assert "The customer's word needs the database, and nothing was entered." in words(hands)
            assert fields(hands) == list(typed.values())
        assert hands.app.workshop.keeping.waiting() == []
