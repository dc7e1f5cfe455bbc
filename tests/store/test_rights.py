"""docs/rights.md says who may do what: one test for each cell of its tables, and no act is missing there."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterator
from functools import cached_property
from pathlib import Path

import pytest

from tests.small_shop import SmallShop
from tests.store.acts_by_role import ACTS
from tests.store.shop_by_role import Hands, Prepared, laid_out
from traveller.errors import InputError, Refused
from traveller.record.acts.rights import need_role
from traveller.record.shop import Person
from traveller.stationbook import StationBook
from traveller.store.workshop import Workshop
from traveller.vocabulary import Role

PAGE = (Path(__file__).parents[2] / "docs" / "rights.md").read_text(encoding="utf-8")
PLUMBING = {"desk", "keeping"}
"""What every act goes through; who decides about what was kept is tried in test_keepsafe.py."""
NOT_FOR_THE_ROLE = re.compile(r" may not .+: that takes a .+ Ask one to scan their badge\.$", re.DOTALL)
NOT_FOR_ANOTHER = "the same person or a shift lead corrects it."


def rows() -> Iterator[tuple[str, str, dict[Role, bool]]]:
    """(the act, its call, who may) of every row of the page."""
    for line in PAGE.splitlines():
        cells = [cell.strip() for cell in line.strip("|").split("|")] if line.startswith("| ") else []
        if len(cells) < 2 + len(Role) or cells[0] in ("act", "---"):
            continue
        act, call, *may = cells
        assert set(may) <= {"yes", "no"}, line
        yield act, call.strip("`"), {role: cell == "yes" for role, cell in zip(Role, may, strict=True)}


CELLS = [(act, role, may[role]) for act, _, may in rows() for role in Role]


@pytest.fixture(name="prepared", scope="module")
def _prepared(tmp_path_factory: pytest.TempPathFactory) -> tuple[Prepared, StationBook]:
    return laid_out(tmp_path_factory.mktemp("rights"))


def refused_for_the_role(hands: Hands, words: str) -> bool:
    try:
        ACTS[words].do(hands)
    except Refused as refusal:
        return bool(NOT_FOR_THE_ROLE.search(str(refusal))) or str(refusal).endswith(NOT_FOR_ANOTHER)
    except InputError:
        return False
    finally:
        hands.workshop.close()
    return False


@pytest.mark.parametrize(("words", "role", "may"), CELLS, ids=[f"{words}-{role}" for words, role, _ in CELLS])
def test_a_cell(words: str, role: Role, may: bool, prepared: tuple[Prepared, StationBook], tmp_path: Path) -> None:
    made, stations = prepared
    hands = Hands.of(made, role, tmp_path / "copy.sqlite", stations)
    assert refused_for_the_role(hands, words) is not may


def test_the_columns_are_the_roles() -> None:
    heads = {line for line in PAGE.splitlines() if line.startswith("| act |")}
    assert heads == {f"| act | call | {' | '.join(role.label for role in Role)} |"}


def test_the_page_has_the_acts_that_are_tried_and_every_row_once() -> None:
    assert [(act, call) for act, call, _ in rows()] == [(one.words, one.call) for one in ACTS.values()]


def test_every_act_of_the_workshop_has_a_row(shop: SmallShop) -> None:
    """An act is a public method that is told who does it. Some desks are made when they are asked for."""
    later = (name for name, one in vars(Workshop).items() if isinstance(one, cached_property))
    made = {**vars(shop.workshop), **{name: getattr(shop.workshop, name) for name in later}}
    desks = {name: desk for name, desk in made.items() if name not in PLUMBING}
    of_the_store = {"workshop": shop.workshop, **desks}
    acts = {
        f"{name}.{method}"
        for name, desk in of_the_store.items()
        for method, function in inspect.getmembers(type(desk), inspect.isfunction)
        if not method.startswith("_") and "by" in inspect.signature(function).parameters
    }
    assert len(acts) > 60
    assert acts == {call for _, call, _ in rows()}


def test_a_refusal_for_the_role_is_known_by_its_words() -> None:
    """The words that the cells are told apart by are those of the one function that refuses."""
    clerk = Person(tag="P1", name="Mira Castellan", roles=(Role.DISPATCH,))
    with pytest.raises(Refused) as refusal:
        need_role(clerk, "verify work", Role.INSPECTOR, Role.LEAD)
    assert NOT_FOR_THE_ROLE.search(str(refusal.value))
