"""What README and docs say is so: commands, options, keys, files, fields of a sheet, calculations.

Checked against the program itself (its command tree, its bindings, its loader), and never against a list
that somebody typed here.
"""

from __future__ import annotations

import re
import runpy
import tomllib
from pathlib import Path

import click
import pytest
from click.testing import CliRunner
from textual.binding import Binding
from textual.dom import DOMNode

from tests.docs.commands_of_docs import HERE, LINES, PAGES, fenced
from traveller.commands.root import root
from traveller.errors import SheetError
from traveller.screens.app import TravellerApp
from traveller.screens.bags import BagsPage
from traveller.screens.bench import BenchPage
from traveller.screens.floor import FloorPage
from traveller.screens.gate import GatePage
from traveller.screens.handover.brief_page import BriefPage
from traveller.screens.handover.giving_page import GivingPage
from traveller.screens.handover.taking_page import TakingPage
from traveller.screens.sheet_of_fields import SheetOfFields
from traveller.screens.unit import UnitPage
from traveller.screens.working_out import WorkingOutPage
from traveller.screens.worklist import WorkPage
from traveller.sheets import Check, CheckKind, Limit, Sheet, When
from traveller.stationbook import load_stations
from traveller.terminal import Settings
from traveller.vocabulary import RATINGS, HazardKind, Role, UnitKind

LINK = re.compile(r"!?\[[^\]]*\]\((?P<to>[^)#\s]+)(?:#[^)]*)?\)")
LONGEST_PAGE = 160
"""Lines; about a screen and a half of running text, with room for the tables of a reference."""


def parse(command: click.Command, words: list[str], context: click.Context | None = None) -> None:
    """Walk the command tree as click does; UsageError for a command, option or argument that is not there."""
    with command.make_context(command.name or "traveller", list(words), parent=context) as made:
        if isinstance(command, click.Group) and (rest := [*made._protected_args, *made.args]):
            name, found, left = command.resolve_command(made, rest)
            assert found, name
            parse(found, left, made)


@pytest.mark.parametrize(("page", "words"), LINES, ids=[f"{page}: {' '.join(words)}" for page, words in LINES])
def test_every_command_of_the_docs_is_one(page: str, words: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("click.termui.visible_prompt_func", lambda _prompt: "2468")
    monkeypatch.setattr("click.termui.hidden_prompt_func", lambda _prompt: "2468")
    try:
        parse(root, words)
    except click.UsageError as error:
        pytest.fail(f"{page}: traveller {' '.join(words)}: {error.format_message()}")


def test_a_command_that_is_not_one_would_be_found() -> None:
    for wrong in (["briefs"], ["queue", "--station", "x"], ["shop", "hire"], ["hold", "U000001J"]):
        with pytest.raises(click.UsageError):
            parse(root, wrong)


def test_the_docs_hold_commands_to_check() -> None:
    assert {page for page, _ in LINES} >= {"README.md", "administrator.md", "lead.md", "calculations.md"}


@pytest.mark.parametrize("words", [w for p, w in LINES if p == "calculations.md"], ids=lambda words: words[1])
def test_every_example_of_a_calculation_gives_a_verdict(words: list[str]) -> None:
    done = CliRunner().invoke(root, words)
    assert done.exit_code == 0, done.output
    assert "source: " in done.output


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_file_that_a_page_links_to_exists(page: Path) -> None:
    for found in LINK.finditer(page.read_text(encoding="utf-8")):
        if "://" not in found["to"]:
            assert (page.parent / found["to"]).exists(), f"{page.name} links to {found['to']}"


@pytest.mark.parametrize("page", [one for one in PAGES if one.parent.name == "docs"], ids=lambda page: page.name)
def test_a_page_stays_a_page(page: Path) -> None:
    assert len(page.read_text(encoding="utf-8").splitlines()) <= LONGEST_PAGE


def test_pictures_fetch_nothing_and_look_like_nobodys_window() -> None:
    pictures = list((HERE / "docs" / "pictures").glob("*.svg"))
    assert {one.stem for one in pictures} >= {"unit", "bench", "floor", "gate"}
    for picture in pictures:
        svg = picture.read_text(encoding="utf-8")
        outside = [one for one in re.findall(r"https?://[^\s\"')]+", svg) if one != "http://www.w3.org/2000/svg"]
        assert not outside
        assert not re.search(r"@font-face|@import|<circle|<script|-title\"", svg)


# ---- keys -----------------------------------------------------------------------------------------------


def keys_of(*screens: type[DOMNode]) -> dict[str, str]:
    """Key -> what it is called, for pages and the program together."""
    bindings = [one for screen in screens for one in screen.BINDINGS if isinstance(one, Binding)]
    return {one.key: one.description for one in bindings}


@pytest.mark.parametrize(
    ("page", "says", "screen", "key", "does"),
    [
        ("technician.md", "F6 on the bench", BenchPage, "f6", "station"),
        ("technician.md", "F9 on the bench signs you off", BenchPage, "f9", "sign off"),
        ("technician.md", "bench (F2)", TravellerApp, "f2", "bench"),
        ("technician.md", "find it (F4)", TravellerApp, "f4", "find"),
        ("technician.md", "F5 books", TravellerApp, "f5", "book in"),
        ("technician.md", "F10 when they are filled", SheetOfFields, "f10", "done"),
        ("technician.md", "## Acts (F6)", UnitPage, "f6", "acts"),
        ("technician.md", "## Work list (F7)", UnitPage, "f7", "work"),
        ("technician.md", "## Move on (F10)", UnitPage, "f10", "move on"),
        ("technician.md", "`f` the part is in", WorkPage, "f", "fit"),
        ("technician.md", "`v` verified", WorkPage, "v", "seen"),
        ("technician.md", "`r` not right", WorkPage, "r", "redo"),
        ("technician.md", "**The parts list**: `i`", WorkPage, "i", "parts"),
        ("technician.md", "`w` shows what is missing", WorkPage, "w", "work out"),
        ("technician.md", "(`f` names it)", WorkingOutPage, "f", "what failed"),
        ("technician.md", "parts**: `m`", WorkPage, "m", "bags"),
        ("technician.md", "`o` a bag was opened", BagsPage, "o", "opened"),
        ("technician.md", "`c` stored dry again", BagsPage, "c", "closed, dry"),
        ("technician.md", "`b` baked", BagsPage, "b", "baked"),
        ("incoming-shift.md", "press F3, the floor", TravellerApp, "f3", "floor"),
        ("incoming-shift.md", "Tab or Enter goes from the stations", FloorPage, "tab", "stations/units"),
        ("incoming-shift.md", "F8 on a unit", UnitPage, "f8", "gate"),
        ("incoming-shift.md", "press F11, the brief", TravellerApp, "f11", "brief"),
        ("incoming-shift.md", "`a` goes to the items", BriefPage, "a", "items"),
        ("handover.md", "F11, then `h`", BriefPage, "h", "hand over"),
        ("handover.md", "Space leaves one out", GivingPage, "space", "leave out/in"),
        ("handover.md", "F10 signs", GivingPage, "f10", "sign"),
        ("handover.md", "`a` accepts", TakingPage, "a", "accept"),
        ("incoming-shift.md", "then F9, the history", UnitPage, "f9", "history"),
        ("dispatch-clerk.md", "F10 on the gate", GatePage, "f10", "release"),
        ("lead.md", "F7, `s`", WorkPage, "s", "strike"),
        ("lead.md", "the floor with F3", TravellerApp, "f3", "floor"),
        ("calculations.md", "F12", TravellerApp, "f12", "calculator"),
    ],
)
def test_a_key_does_what_the_page_says(page: str, says: str, screen: type[DOMNode], key: str, does: str) -> None:
    assert says in (HERE / "docs" / page).read_text(encoding="utf-8")
    assert keys_of(screen)[key] == does


@pytest.mark.parametrize("page", [one for one in PAGES if one.parent.name != "decisions"], ids=lambda page: page.name)
def test_no_page_names_a_function_key_that_nothing_is_bound_to(page: Path) -> None:
    bound = keys_of(TravellerApp, BenchPage, FloorPage, UnitPage, GatePage, WorkPage, SheetOfFields)
    named = set(re.findall(r"(?<!\w)F(?:[1-9]|1[0-2])(?!\w)", page.read_text(encoding="utf-8")))
    assert {name.lower() for name in named} <= set(bound)


def test_the_letters_of_the_acts_are_the_ones_of_the_screen() -> None:
    written = (HERE / "traveller" / "screens" / "acts.py").read_text(encoding="utf-8")
    letters = dict(re.findall(r'Way\("\w+", "(\w)", "([^"]+)"', written))
    text = (HERE / "docs" / "lead.md").read_text(encoding="utf-8")
    named = re.findall(r"^\| `(\w)` \| ([^|]+) \|", text, re.MULTILINE)
    assert named
    for letter, label in named:
        assert letters[letter] == label.strip()


# ---- sheets, settings, calculations ---------------------------------------------------------------------


def test_the_page_of_the_sheets_names_every_field_and_no_other() -> None:
    text = (HERE / "docs" / "station-sheets.md").read_text(encoding="utf-8")
    named = set(re.findall(r"^\| `(\w+)` \|", text, re.MULTILINE))
    given_by_folder = {"station", "checks"}
    fields = (set(Sheet.model_fields) | set(Check.model_fields)) - given_by_folder
    assert named == fields | {"drop"}
    for inner in (*Limit.model_fields, *When.model_fields, *CheckKind):
        assert f"`{inner}`" in text or f"{inner} = " in text
    for words in (UnitKind, Role, HazardKind, RATINGS):
        assert all(str(word) in text for word in words)


@pytest.mark.parametrize("block", fenced(HERE / "docs" / "station-sheets.md", "toml"), ids=lambda text: text[:40])
def test_the_sheets_of_the_docs_can_be_laid(block: str, tmp_path: Path) -> None:
    station = block.splitlines()[0].split("/")[1]
    (tmp_path / station).mkdir()
    (tmp_path / station / "station.toml").write_text(block, encoding="utf-8")
    laid = load_stations(tmp_path).book.sheet(station)
    assert laid
    assert {check["key"] for check in tomllib.loads(block)["check"]} <= {check.key for check in laid.checks}


def test_every_example_line_of_a_check_is_toml_that_a_sheet_takes() -> None:
    text = (HERE / "docs" / "station-sheets.md").read_text(encoding="utf-8")
    examples = re.findall(r"^\| `(\w+)` \|[^\n]*\| `([^`\n]+)` \|$", text, re.MULTILINE)
    assert len(examples) > 30
    for name, example in examples:
        assert set(tomllib.loads(example)) == {name}


def test_the_mistake_of_the_docs_is_reported_in_those_words(tmp_path: Path) -> None:
    text = (HERE / "docs" / "station-sheets.md").read_text(encoding="utf-8")
    said = re.search(r"^> \.\.\.(?P<place>/.*?), (?P<words>.*)$", text, re.MULTILINE)
    assert said
    (tmp_path / "component_work").mkdir()
    sheet = '[[check]]\nkey = "fan_hours"\nask = "Hours"\nkind = "reading"\nunit = "h"\n'
    (tmp_path / "component_work" / "station.toml").write_text(sheet, encoding="utf-8")
    with pytest.raises(SheetError) as refused:
        load_stations(tmp_path)
    assert str(refused.value) == f"{tmp_path}{said['place']}, {said['words']}"


def test_the_settings_of_the_docs_are_those_of_a_terminal() -> None:
    (block,) = fenced(HERE / "docs" / "administrator.md", "json")
    named = re.findall(r'"(\w+)":', block)
    assert set(named) == set(Settings.model_fields)
    assert Settings.model_validate_json(block).model_dump_json(exclude_defaults=True)


def test_the_page_of_the_calculations_is_up_to_date() -> None:
    made = runpy.run_path(str(HERE / "docs" / "list_calculations.py"))["page"]()
    written = (HERE / "docs" / "calculations.md").read_text(encoding="utf-8")
    assert written == made, "run: .venv/bin/python docs/list_calculations.py > docs/calculations.md"
