"""From the fold of a unit to its card: the one row by which queues and the floor know it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from sqlalchemy import Connection

from traveller.record.brief import matter
from traveller.record.brief.unit_sources import matters_of
from traveller.record.evidence import State
from traveller.record.shop_entries import SHOP
from traveller.record.view import UnitView
from traveller.record.worklist import LineState
from traveller.store import cards, journal
from traveller.store.cards import Card


def card_of(view: UnitView) -> Card:
    unit, nameplate = view.unit, view.unit.nameplate
    standings = view.standings()
    states = [one.state for one in standings]
    lines = [line for line in unit.work.values() if line.state is not LineState.STRUCK]
    first = view.first_open(unit.station)
    return Card(
        tag=unit.tag,
        unit_kind=str(nameplate.unit_kind) if nameplate else "",
        maker=nameplate.maker if nameplate else "",
        model=nameplate.model if nameplate else "",
        serial=nameplate.serial if nameplate else "",
        customer=nameplate.customer if nameplate else "",
        order_ref=nameplate.order if nameplate else "",
        fault=nameplate.fault if nameplate else "",
        promised=nameplate.promised if nameplate else None,
        station=unit.station,
        place=unit.place,
        outcome=unit.outcome,
        held_reason=unit.hold.reason if unit.hold else "",
        look_again=unit.hold.look_again if unit.hold else None,
        hazards=tuple(str(hazard) for hazard in unit.hazards),
        released_at=unit.release.at if unit.release else None,
        checks_done=sum(state.counts for state in states),
        checks_asked=len(states),
        work_done=sum(line.state is LineState.VERIFIED for line in lines),
        work_lines=len(lines),
        stale=states.count(State.STALE),
        failed=states.count(State.FAILED),
        next_check=first.check.full_key if first else "",
        open_questions=len(unit.open_questions()),
        nonconformities=len(unit.open_nonconformities()),
        booked_at=unit.booked_at,
        arrived_at=unit.arrived_at,
        last_at=unit.last_at,
        last_by=view.entries[-1].by if view.entries else "",
        sequence=unit.sequence,
        matters=matter.as_text(matters_of(view)),
        matters_edition=matter.EDITION,
    )


def _is_that_of(kept: Card | None, folded: Card) -> bool:
    """A unit that has left keeps the matters of the edition in which it left: they are not made anew at opening."""
    if kept and folded.released_at and kept.matters_edition != folded.matters_edition:
        kept = replace(kept, matters=folded.matters, matters_edition=folded.matters_edition)
    return kept == folded


def astray(connection: Connection, fold: Callable[[str], UnitView], repair: bool) -> list[str]:
    """Tags whose card is not that of `fold`, or that have a card and no entries; with `repair` made anew."""
    folded = {tag: card_of(fold(tag)) for tag in journal.subjects(connection) if tag != SHOP}
    differing = [tag for tag, card in folded.items() if not _is_that_of(cards.get(connection, tag), card)]
    of_nothing = [tag for tag in cards.all_tags(connection) if tag not in folded]
    if repair:
        for tag in differing:
            cards.put(connection, folded[tag])
        for tag in of_nothing:
            cards.drop(connection, tag)
    return differing + of_nothing
