"""Parts lists on a shared database: all or nothing, headers remembered, models learned, clocks of the terminal."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.small_shop import PLATE, SmallShop
from traveller.errors import InputError, Refused
from traveller.parts_csv import HeadersUnknown
from traveller.record.entries import Nameplate
from traveller.record.worklist import progress

ODD = "Alpha;Beta;Gamma\nC1-C4;elko;470 µF\nK1;relay;24 V\n"
KNOWN = "Ref;Kind;Set\nQ1-Q6;IGBT;stage\nC1;elko;\n"


def written(folder: Path, text: str, name: str = "board.csv") -> str:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_a_list_comes_in_whole_or_not_at_all(shop: SmallShop, tmp_path: Path) -> None:
    tag, parts = shop.booked(), shop.workshop.parts
    view = parts.import_list(tag, f" '{written(tmp_path, KNOWN)}' ", shop.technician)
    assert (len(view.unit.parts.parts), view.unit.parts.origin) == (7, "file board.csv")
    before = shop.workshop.unit(tag).unit.sequence
    with pytest.raises(InputError, match="stands 2 times"):
        parts.import_list(tag, written(tmp_path, f"{KNOWN}C1;film;\n"), shop.technician)
    with pytest.raises(InputError, match=r"none\.csv is not a file: give the path of a parts list"):
        parts.import_list(tag, str(tmp_path / "none.csv"), shop.technician)
    with pytest.raises(Refused, match="may not enter a parts list"):
        parts.import_list(tag, written(tmp_path, KNOWN), shop.clerk)
    assert shop.workshop.unit(tag).unit.sequence == before
    assert shop.workshop.verify() == []


def test_headers_are_asked_for_once_in_a_shop(shop: SmallShop, tmp_path: Path) -> None:
    tag, parts, path = shop.booked(), shop.workshop.parts, written(tmp_path, ODD)
    with pytest.raises(HeadersUnknown):
        parts.import_list(tag, path, shop.technician)
    said = {"Alpha": "reference", "Beta": "kind", "Gamma": "value"}
    with pytest.raises(Refused):
        parts.import_list(tag, path, shop.clerk, said)
    assert shop.workshop.shop().part_headers == {}, "what was said with a list that was refused is not kept"
    parts.import_list(tag, path, shop.technician, said)
    elsewhere = shop.at(shop.terminal()).workshop
    view = elsewhere.parts.import_list(shop.booked(), path, shop.technician)
    assert view.unit.parts.parts["C3"].value == "470 µF"
    entries = elsewhere.shop().sequence
    parts.import_list(tag, path, shop.technician, said)
    assert elsewhere.shop().sequence == entries, "what is known already is not learned again"
    elsewhere.close()


def test_the_workshop_learns_its_models(shop: SmallShop, tmp_path: Path) -> None:
    workshop, parts = shop.workshop, shop.workshop.parts
    first, second, third = shop.booked(), shop.booked(), shop.booked()
    assert parts.known_for("Sorrel", "D7") is None
    parts.import_list(first, written(tmp_path, KNOWN), shop.technician)
    parts.import_list(second, written(tmp_path, ODD.replace("Alpha;Beta", "Ref;Kind")), shop.technician)
    known = parts.known_for(" SORREL", "d7 ", besides=third)
    assert known
    assert (known.tag, len(known.parts.parts)) == (second, 5)
    assert parts.known_for("Sorrel", "D70") is None
    other = workshop.book_in(shop.technician, Nameplate(**{**PLATE.model_dump(), "model": "D70"})).unit.tag
    with pytest.raises(Refused, match="another model"):
        parts.take_from(other, first, shop.technician)
    taken = parts.take_from(third, first, shop.technician).unit.parts
    assert (len(taken.parts), taken.origin) == (7, f"earlier unit {first}")


def test_the_work_list_is_worked_out_in_one_go(shop: SmallShop, tmp_path: Path) -> None:
    tag, parts = shop.booked(), shop.workshop.parts
    parts.import_list(tag, written(tmp_path, KNOWN), shop.technician)
    parts.add(tag, "U1-U2", "gate driver", shop.technician, matched_set="stage", value="dual")
    lines = parts.worked_out(tag, ["q3"])
    view = parts.work_out(tag, shop.technician, ["q3"])
    assert list(view.unit.work) == [line.reference for line in lines]
    assert progress(view.unit.work) == "0 of 9 fitted, left: Q3, Q1, Q2, Q4, Q5, Q6 and 3 more"
    assert view.unit.work["U1"].part == "driver dual"
    assert parts.worked_out(tag) == []


@pytest.mark.parametrize(
    ("references", "kind", "typed", "words"),
    [
        ("C1", "wobbler", {}, "is not a kind of part"),
        ("7", "film", {}, "is no place on a board"),
        ("C1", "film", {"value": "x" * 121}, "value cannot be taken"),
        ("C1", "film", {"drives": "7"}, "is no place on a board"),
    ],
)
def test_a_part_by_hand_is_refused_in_words(
    shop: SmallShop, references: str, kind: str, typed: dict[str, str], words: str
) -> None:
    with pytest.raises(InputError, match=words):
        shop.workshop.parts.add(shop.booked(), references, kind, shop.technician, **typed)


def test_a_shop_lays_its_own_policy_over_the_shipped_one(shop: SmallShop, tmp_path: Path) -> None:
    policy = '[[aged]]\nkinds = ["battery"]\nbecause = "our own rule"\n'
    (shop.sheets / "component_work" / "replacement.toml").write_text(policy, encoding="utf-8")
    (shop.sheets / "component_work" / "part_names.toml").write_text('[kinds]\nbattery = ["juice"]\n', encoding="utf-8")
    other = shop.terminal("own policy")
    tag = shop.booked()
    other.parts.import_list(tag, written(tmp_path, "ref,kind\nBT1,juice\nC1,elko\n"), shop.technician)
    assert [(line.reference, line.because) for line in other.parts.worked_out(tag)] == [("BT1", "aged: our own rule")]
    other.close()


def test_five_thousand_parts_are_kept_whole(shop: SmallShop, tmp_path: Path) -> None:
    tag = shop.booked()
    text = "Ref,Kind,Value\n" + "".join(f"C{n},{'elko' if n % 10 == 0 else 'ceramic'},1 µF\n" for n in range(5000))
    shop.workshop.parts.import_list(tag, written(tmp_path, text), shop.technician)
    view = shop.workshop.parts.work_out(tag, shop.technician)
    assert (len(view.unit.parts.parts), len(view.unit.work)) == (5000, 500)


def test_a_shop_without_the_floor_life_check_says_so(shop: SmallShop) -> None:
    """The small shop leaves that check out."""
    with pytest.raises(Refused, match=r"no check with the judge component_work\.floor_life"):
        shop.workshop.bags.open(shop.booked(), "U3", "3", shop.technician)
