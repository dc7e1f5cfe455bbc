"""docs/decisions/0009 says of every act whether it is kept while the database is away: each is tried as it says.

What is kept comes onto the record as if the cable had never been pulled: the same act on a copy of the same shop is
what it is compared with.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.store.acts_by_role import ACTS, Act
from tests.store.cable import Cable
from tests.store.shop_by_role import Hands, Prepared, laid_out
from tests.store.test_rights import rows
from traveller.errors import Away, InputError, Refused
from traveller.stationbook import StationBook
from traveller.store import journal
from traveller.store.engine import reading
from traveller.store.workshop import Workshop
from traveller.vocabulary import Role

PAGE = Path(__file__).parents[2] / "docs" / "decisions" / "0009-what-is-kept-while-the-database-is-away.md"
BEFORE = {"end an own note to the shop": {"note to the shop"}}
"""What is kept first by an act that is refused in the end."""


def table() -> Iterator[tuple[str, str]]:
    """(call, what the page says of it while the database is away)."""
    for line in PAGE.read_text(encoding="utf-8").splitlines():
        cells = [cell.strip() for cell in line.strip("|").split("|")] if line.startswith("| ") else []
        if len(cells) == 4 and cells[0] not in ("act", "---"):
            yield from ((call, cells[2]) for call in re.findall(r"`([a-z_]+\.[a-z_]+)`", cells[1]))


SAID = dict(table())
MAY = {words: next(role for role in Role if may[role]) for words, _, may in rows() if any(may.values())}


@pytest.fixture(name="prepared", scope="module")
def _prepared(tmp_path_factory: pytest.TempPathFactory) -> tuple[Prepared, StationBook]:
    return laid_out(tmp_path_factory.mktemp("away"))


def look_around(hands: Hands) -> None:
    """The terminal has seen the shop and its units before the cable is pulled."""
    hands.workshop.shop()
    for tag in {*hands.at.values(), hands.measured, hands.running, hands.planned}:
        hands.workshop.unit(tag)
    hands.workshop.heat_runs.watch(hands.running)


def heads(workshop: Workshop) -> dict[str, int]:
    with reading(workshop.engine) as connection:
        return {one: journal.head(connection, one)[0] for one in journal.subjects(connection)}


def new_lines(before: dict[str, int], workshop: Workshop) -> list[tuple[object, ...]]:
    """What is on the record that was not: all but the identifiers, which no two have alike."""
    with reading(workshop.engine) as connection:
        return [
            (subject, one.sequence, one.by, one.at, one.because, one.body.model_dump())
            for subject in sorted(journal.subjects(connection))
            for one in journal.read(connection, subject, after=before.get(subject, 0))
        ]


def refusal(act: Act, hands: Hands) -> str:
    """What a rule says against it; empty when none does."""
    try:
        act.do(hands)
    except (Refused, InputError) as error:
        return str(error)
    return ""


def test_the_page_names_every_act_once() -> None:
    counted = Counter(call for call, _ in table())
    assert set(counted) == {act.call for act in ACTS.values()}
    assert set(counted.values()) == {1}
    assert set(SAID.values()) == {"kept", "refused", "shown"}


@pytest.mark.parametrize("words", [words for words in MAY if SAID[ACTS[words].call] == "kept"])
def test_what_is_kept_is_the_same_on_the_record(
    words: str, prepared: tuple[Prepared, StationBook], tmp_path: Path
) -> None:
    act, (made, stations) = ACTS[words], prepared
    online = Hands.of(made, MAY[words], tmp_path / "online.sqlite", stations)
    before = heads(online.workshop)
    said = refusal(act, online)
    there = new_lines(before, online.workshop)
    online.workshop.close()

    hands = Hands.of(made, MAY[words], tmp_path / "away.sqlite", stations, tmp_path / "terminal")
    look_around(hands)
    cable = Cable(hands.workshop)
    cable.pull()
    assert refusal(act, hands) == said
    waiting = hands.workshop.keeping.waiting()
    assert bool(waiting) is not bool(said), "kept, unless a rule refuses it as it does with the cable in"
    cable.put_in()
    assert hands.workshop.keeping.deliver() == len(waiting)
    assert hands.workshop.keeping.questions() == []
    assert new_lines(before, hands.workshop) == there
    hands.workshop.close()


@pytest.mark.parametrize("words", [words for words in MAY if SAID[ACTS[words].call] == "refused"])
def test_what_is_not_kept_is_refused_in_a_sentence_and_nothing_of_it_waits(
    words: str, prepared: tuple[Prepared, StationBook], tmp_path: Path
) -> None:
    act, (made, stations) = ACTS[words], prepared
    hands = Hands.of(made, MAY[words], tmp_path / "away.sqlite", stations, tmp_path / "terminal")
    look_around(hands)
    Cable(hands.workshop).pull()
    with pytest.raises(Away, match=r"^[A-Z].+ needs the database, and nothing was entered\. "):
        act.do(hands)
    assert {one.deed.deed for one in hands.workshop.keeping.waiting()} == BEFORE.get(words, set())
    hands.workshop.close()


def test_what_would_be_handed_over_is_shown_as_it_was_seen_last(
    prepared: tuple[Prepared, StationBook], tmp_path: Path
) -> None:
    made, stations = prepared
    hands = Hands.of(made, Role.LEAD, tmp_path / "away.sqlite", stations, tmp_path / "terminal")
    seen = hands.workshop.handovers.proposal(hands.by)
    Cable(hands.workshop).pull()
    assert hands.workshop.handovers.proposal(hands.by) == seen
    hands.workshop.close()
