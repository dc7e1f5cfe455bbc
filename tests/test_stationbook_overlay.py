"""A workshop's folder over the shipped one: it changes, replaces, adds and leaves out; editions follow; nothing
that is laid there comes up as anything but a sentence."""

from __future__ import annotations

import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st

from tests.paint_shop import COLOUR, DRY, PAINT, STATION, WEIGHED, edition, keys, lay, lay_judge
from traveller.errors import SheetError
from traveller.sheets import CheckKind
from traveller.stationbook import load_stations

DAMAGE = '[[check]]\nkey = "transit_damage"\nask = "Broken on the way?"\nkind = "tick"\n'
NO_PHOTOS = '[station]\ndrop = ["transit_photos"]\n'
"""The photos are asked after an answer that the tick above cannot give."""


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A workshop's folder with a station of its own, the paint shop, behind all others."""
    lay(tmp_path, STATION + COLOUR + DRY)
    return tmp_path


def test_an_own_station_is_appended_to_the_route(own: Path) -> None:
    stations = load_stations(own)
    assert stations.book.last.key == "paint_shop"
    assert len(stations.book.sheets) == len(load_stations().book.sheets) + 1
    assert keys(stations, "paint_shop") == ["colour", "dry"]


def test_a_file_over_a_shipped_one_changes_what_it_names_and_nothing_else(own: Path) -> None:
    shipped = load_stations().book.sheet("goods_in")
    lay(own, '[station]\nname = "Reception"\n', "goods_in")
    laid = load_stations(own).book.sheet("goods_in")
    assert shipped
    assert laid
    assert laid == shipped.model_copy(update={"name": "Reception"})


def test_a_check_is_replaced_in_its_place_appended_or_left_out(own: Path) -> None:
    before = keys(load_stations(), "goods_in")
    lay(own, NO_PHOTOS + DAMAGE + COLOUR, "goods_in")
    stations = load_stations(own)
    assert keys(stations, "goods_in") == [key for key in before if key != "transit_photos"] + ["colour"]
    replaced = stations.book.check("goods_in.transit_damage")
    assert replaced
    assert (replaced.kind, replaced.options, replaced.also_unrepaired) == (CheckKind.TICK, (), False)


def test_leaving_out_what_another_check_asks_after_is_said(own: Path) -> None:
    lay(own, '[station]\ndrop = ["transit_damage"]\n', "goods_in")
    with pytest.raises(SheetError, match=r"goods_in\.transit_photos: when names goods_in\.transit_damage"):
        load_stations(own)


def test_a_key_given_twice_in_one_own_file_is_said(own: Path) -> None:
    lay(own, NO_PHOTOS + DAMAGE + DAMAGE, "goods_in")
    with pytest.raises(SheetError, match="check transit_damage, key: it stands twice"):
        load_stations(own)


def test_an_own_judge_stands_in_for_the_shipped_one(own: Path) -> None:
    check = next(c for c in load_stations().book.checks() if c.judge and c.station == "goods_in" and not c.fill)
    topic, _, function = check.judge.partition(".")
    (own / "goods_in").mkdir()
    lay_judge(own, PAINT.replace("used", function).replace("{says}", "ours"), "goods_in", topic)
    judges = load_stations(own).judges
    judge = judges[f"goods_in.{function}"]
    assert judge.finding(judge.model.model_validate({"mass": 1})).says == "ours"
    others = [name for name in judges if not name.startswith("goods_in.")]
    assert others == [name for name in load_stations().judges if not name.startswith("goods_in.")]


def test_editions_change_when_a_check_changes_and_only_then(own: Path) -> None:
    first = load_stations(own)
    assert edition(load_stations(own), "paint_shop") == edition(first, "paint_shop")
    lay(own, "# a remark\n" + STATION + "\n\n" + COLOUR + DRY)
    assert edition(load_stations(own), "paint_shop") == edition(first, "paint_shop"), "remarks and blanks are no change"
    lay(own, STATION + COLOUR + DRY.replace("12", "13"))
    changed = load_stations(own)
    assert edition(changed, "paint_shop") != edition(first, "paint_shop")
    for key in ("goods_in", "diagnosis", "component_work"):
        assert edition(changed, key) == edition(first, key)
    digests = [[c.digest for c in s.book.checks() if c.full_key == "paint_shop.colour"] for s in (first, changed)]
    assert digests[0] == digests[1], "the check beside it is worded as it was"


def test_the_revision_stands_before_the_digest(own: Path) -> None:
    assert edition(load_stations(own), "paint_shop").startswith("1-")
    lay(own, STATION.replace("revision = 1", "revision = 7") + COLOUR)
    assert edition(load_stations(own), "paint_shop").startswith("7-")


def test_a_judge_of_an_own_station_is_found(own: Path) -> None:
    lay(own, STATION + WEIGHED)
    lay_judge(own, PAINT)
    assert "paint_shop.used" in load_stations(own).judges


def toml(value: Any) -> str:
    """A value as TOML; strings here hold no character that needs more than quoting."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'
    if isinstance(value, list):
        return "[" + ", ".join(toml(one) for one in value) + "]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{toml(key)} = {toml(one)}" for key, one in value.items()) + "}"
    return str(value)


def table(head: str, rows: Mapping[str, Any]) -> str:
    return head + "\n" + "".join(f"{toml(key)} = {toml(value)}\n" for key, value in rows.items())


WORDS = [
    "colour", "tick", "choice", "reading", "table", "calculation", "V", "Ω", "work", "sent_back", "station:goods_in",
    "station:paint_shop", "check:paint_shop.colour", "check:goods_in.transit_damage", "paint.used", "technician",
    "rating.phases", "0.95 * output_amps", "goods_in.transit_damage", "stored_charge", "yes", "x" * 9, "",
]  # fmt: skip
scalars = st.sampled_from(WORDS) | st.integers(-3, 99) | st.booleans() | st.sampled_from([0.5, "inf", "nan"])
values = st.recursive(
    scalars | st.sampled_from([float("inf"), float("nan"), 10**30]),
    lambda below: st.lists(below, max_size=3) | st.dictionaries(st.sampled_from(WORDS), below, max_size=2),
    max_leaves=4,
)
FIELDS = [
    "key", "ask", "kind", "unit", "columns", "options", "passes", "limit", "plausible", "rule", "judge", "fill",
    "applies_to", "when", "who", "stale_after", "required", "raises", "raises_on", "clears", "presumed", "odd",
]  # fmt: skip
whens = st.fixed_dictionaries({"check": st.sampled_from(WORDS)}, optional={"is_in": values, "at_least": values})
limits = st.fixed_dictionaries({"source": st.just("example")}, optional={"at_least": values, "at_most": values})
whole_check = {"key": "colour", "ask": "Which?", "kind": "tick"}
odd_fields = st.dictionaries(st.sampled_from(FIELDS), values, max_size=2)
conditions = st.fixed_dictionaries({}, optional={"when": whens, "limit": limits})
checks = st.builds(
    lambda base, more: base | more,
    st.sampled_from([whole_check, whole_check | {"key": "dry"}, whole_check | {"kind": "reading"}, {}]),
    st.just({}) | odd_fields | conditions,
)
whole_station = {"name": "Paint shop", "order": 90, "revision": 1, "who": ["technician"]}
odd_heads = st.dictionaries(
    st.sampled_from(["name", "order", "who", "drop", "key", "checks", "stale_after", "odd"]), values, max_size=2
)
heads = st.builds(
    lambda base, more: base | more, st.sampled_from([whole_station, whole_station, {}]), st.just({}) | odd_heads
)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(heads, st.lists(checks, max_size=2), st.sampled_from(["paint_shop", "goods_in"]))
def test_whatever_is_laid_loads_or_is_a_sentence(
    tmp_path: Path, head: dict[str, Any], asked: list[dict[str, Any]], station: str
) -> None:
    for folder in tmp_path.iterdir():
        shutil.rmtree(folder)
    lay(tmp_path, table("[station]", head) + "".join(table("[[check]]", one) for one in asked), station)
    try:
        assert load_stations(tmp_path).book.sheet(station)
        event("loads")
    except SheetError as error:
        assert station in str(error)
        assert "Traceback" not in str(error)
