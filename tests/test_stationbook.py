"""The station folders: the shipped ones load, a mistake is said in a sentence, a workshop lays its own over them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.paint_shop import COLOUR, DRY, PAINT, STATION, WEIGHED, lay, lay_judge
from traveller.errors import SheetError
from traveller.shipped import shipped_folder
from traveller.stationbook import all_judges, load_stations

ROUTE = ["goods_in", "diagnosis", "component_work", "inspection", "load_test", "dispatch"]


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A workshop's folder with a station of its own, the paint shop, behind all others."""
    lay(tmp_path, STATION + COLOUR + DRY)
    return tmp_path


def test_the_shipped_folders_load_in_the_order_of_the_route() -> None:
    folders = {path.parent.name for path in shipped_folder("stations").glob("*/station.toml")}
    stations = load_stations()
    assert [sheet.key for sheet in stations.book.sheets] == [key for key in ROUTE if key in folders]
    assert folders <= set(ROUTE)


def test_every_judge_that_a_shipped_check_names_is_there_with_a_described_form() -> None:
    stations = load_stations()
    named = {f"{c.station}.{c.judge.partition('.')[2]}" for c in stations.book.checks() if c.judge}
    assert {judge.name for judge in all_judges(stations)} == named
    for judge in all_judges(stations):
        for name, field in judge.model.model_fields.items():
            assert field.description, f"{judge.name}: {name} is not described"


def test_every_shipped_check_that_measures_says_where_its_limit_comes_from() -> None:
    for check in load_stations().book.checks():
        assert check.source or check.judge or check.limit, check.full_key


MISTAKES: dict[str, tuple[str | bytes, list[str]]] = {
    "no TOML": (STATION + "[[check]\n", ["not TOML", "line 7"]),
    "not UTF-8": (STATION.encode() + b"# \xff\n", ["UTF-8"]),
    "a number without an end": (STATION + f"intro = {'9' * 5000}", ["too long"]),
    "a nesting without an end": (STATION + f"drop = {'[' * 5000}", ["too long"]),
    "another table": (STATION + COLOUR + "[checks]\n", ["[checks]", "[[check]]"]),
    "a check that is no table": ("check = [1]\n" + STATION, ["[[check]]"]),
    "one check in single brackets": (STATION + "[check]\nkey = 'x'\n", ["[[check]]"]),
    "no checks": (STATION, ["checks"]),
    "no name": (STATION.replace("name", "nome") + COLOUR, ["name", "this line is missing", "nome", "not known"]),
    "an unknown word": (STATION + COLOUR + "colour = 1\n", ["check colour, colour", "not known"]),
    "an unknown role": (STATION.replace("technician", "painter") + COLOUR, ["who", "technician"]),
    "no question": (STATION + COLOUR.replace("ask", "help"), ["check colour, ask", "missing"]),
    "an unknown kind": (STATION + COLOUR.replace("choice", "guess"), ["check colour, kind", "'tick'"]),
    "an unknown unit": (STATION + DRY.replace('"h"', '"hours"'), ["check dry", '"hours"', "use one of"]),
    "options on a reading": (STATION + DRY + 'options = ["a"]\n', ["check dry", "options belong to a choice"]),
    "an impossible limit": (STATION + DRY.replace("{ at", "{ at_most = 2, at"), ["check dry, limit", "lies above"]),
    "a limit that bounds nothing": (STATION + DRY.replace("at_least = 12, ", ""), ["check dry, limit", "at_least"]),
    "a share of no rating": (STATION + DRY.replace("12", '"2 * age"'), ["check dry, limit", "output_amps"]),
    "a reading without plausible": (STATION + DRY.replace("plausible = [0, 999]", ""), ["check dry", "plausible"]),
    "passes outside options": (STATION + COLOUR + 'passes = ["red"]\n', ["check colour", "red"]),
    "no key": (STATION + COLOUR.replace('key = "colour"', ""), ["check number 1, key"]),
    "a key that is no word": (STATION + COLOUR.replace('"colour"', "[1]"), ["check number 1, key"]),
    "a key with a blank": (STATION + COLOUR.replace('"colour"', '"my colour"'), ["check my colour, key"]),
    "a key twice": (STATION + COLOUR + COLOUR, ["check colour, key", "twice"]),
    "a key for the station": (STATION + 'key = "x"\n' + COLOUR, ["key is given by the folder"]),
    "dropping by a word": (STATION + 'drop = "colour"\n' + COLOUR, ["drop", "list the keys"]),
    "dropping what is not there": (STATION + 'drop = ["odour"]\n' + COLOUR, ["drop", "odour"]),
    "a judge without a file": (STATION + WEIGHED.replace("paint.", "pant."), ["check weighed", "pant.py beside it"]),
    "a judge without a function": (STATION + WEIGHED.replace("used", "uzed"), ["weighed", "no function uzed"]),
    "a judge of two": (STATION + WEIGHED.replace("used", "both"), ["weighed", "one pydantic model"]),
    "a judge of two, one of them bare": (STATION + WEIGHED.replace("used", "bare"), ["weighed", "one pydantic model"]),
    "a judge of a number": (STATION + WEIGHED.replace("used", "plain"), ["weighed", "one pydantic model"]),
    "a judge that returns words": (STATION + WEIGHED.replace("used", "silent"), ["weighed", "return a Finding"]),
    "a judge by one word": (STATION + WEIGHED.replace("paint.used", "used"), ["check weighed", "topic.function"]),
    "a calculation without a judge": (STATION + WEIGHED.replace("judge", "help"), ["check weighed", "judge"]),
    "filling an unknown field": (STATION + WEIGHED + 'fill = { volume = "rating.phases" }\n', ["weighed", "volume"]),
    "filling from nowhere": (STATION + WEIGHED + 'fill = { mass = "rating.mass" }\n', ["weighed", "rating.mass"]),
    "when by an unknown check": (
        STATION + COLOUR + 'when = { check = "paint_shop.odour", is_in = ["x"] }\n',
        ["check paint_shop.colour", "when", "paint_shop.odour"],
    ),
    "when by an answer that cannot be": (
        STATION + COLOUR + DRY + 'when = { check = "paint_shop.colour", is_in = ["red"] }\n',
        ["check paint_shop.dry", "red", "grey, green"],
    ),
    "when by the value of a choice": (
        STATION + COLOUR + DRY + 'when = { check = "paint_shop.colour", at_least = 1 }\n',
        ["check paint_shop.dry", "at_least needs a reading"],
    ),
    "stale after an unknown word": (STATION + COLOUR + 'stale_after = ["rain"]\n', ["paint_shop.colour", '"rain"']),
    "stale after no station": (STATION + COLOUR + 'stale_after = ["station:x"]\n', ["paint_shop.colour", "station x"]),
    "stale after its own station": (
        STATION + COLOUR + 'stale_after = ["station:paint_shop"]\n',
        ["paint_shop.colour", "its own station"],
    ),
    "a circle": (
        STATION
        + COLOUR
        + 'stale_after = ["check:paint_shop.dry"]\n'
        + DRY
        + 'stale_after = ["check:paint_shop.colour"]\n',
        ["circle", "paint_shop.colour -> paint_shop.dry -> paint_shop.colour"],
    ),
    "an order that is taken": (STATION.replace("90", "1") + COLOUR, ["same order"]),
}


@pytest.mark.parametrize("what", MISTAKES)
def test_a_mistake_is_said_with_its_place_and_what_to_change(own: Path, what: str) -> None:
    text, words = MISTAKES[what]
    lay(own, text)
    lay_judge(own, PAINT)
    with pytest.raises(SheetError) as caught:
        load_stations(own)
    said = str(caught.value)
    for word in words:
        assert word in said, said
    assert "paint_shop" in said
    assert not re.search("Traceback|Value error|type=", said)


def test_stations_that_void_each_others_answers_are_a_circle(own: Path) -> None:
    lay(own, STATION + COLOUR + 'stale_after = ["station:oven"]\n')
    oven = STATION.replace("90", "91").replace("Paint shop", "Oven")
    lay(own, oven + DRY + 'stale_after = ["station:paint_shop"]\n', "oven")
    with pytest.raises(SheetError, match="circle"):
        load_stations(own)


@pytest.mark.parametrize(
    ("text", "words"),
    [("def used(", "SyntaxError"), ("import no_such_thing", "no_such_thing"), ("1 / 0", "ZeroDivisionError")],
)
def test_bad_python_in_a_judge_is_a_sentence_too(own: Path, text: str, words: str) -> None:
    lay(own, STATION + WEIGHED)
    lay_judge(own, text)
    with pytest.raises(SheetError, match=words) as caught:
        load_stations(own)
    assert "paint.py cannot be loaded" in str(caught.value)


def test_a_judge_beside_no_init_is_a_sentence_too(own: Path) -> None:
    lay(own, STATION + WEIGHED)
    (own / "paint_shop" / "paint.py").write_text(PAINT)
    with pytest.raises(SheetError, match="__init__"):
        load_stations(own)


def test_a_bad_judge_that_is_loaded_later_is_said_when_it_is_asked_for_and_spoils_no_other(own: Path) -> None:
    lay(own, STATION + WEIGHED)
    lay_judge(own, "def used(")
    stations = load_stations(own, judges_later=True)
    assert stations.judges["goods_in.reforming"].name == "goods_in.reforming"
    for _ in range(2):
        with pytest.raises(SheetError, match=r"paint\.py cannot be loaded"):
            stations.judges.get("paint_shop.used")
    with pytest.raises(SheetError, match=r"paint\.py cannot be loaded"):
        all_judges(stations)
    assert stations.judges.get("paint_shop.no_such_judge") is None
