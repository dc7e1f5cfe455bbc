"""The sheets that belong together: the route of a unit, and what depends on what across stations."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cached_property
from itertools import pairwise
from typing import Self

from pydantic import Field, model_validator

from traveller.sheets import Check, CheckKind, Sheet, When
from traveller.vocabulary import RATINGS, Plain

DISTURBANCE = re.compile(
    r"^(work|nameplate|sent_back|sent_back_to:(?P<to>\w+)|station:(?P<station>\w+)"
    r"|check:(?P<check>\w+\.\w+))$"
)


class Book(Plain):
    """The sheets that one unit is worked by, in route order."""

    sheets: tuple[Sheet, ...] = Field(min_length=1)

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        for complaint in self._complaints():
            raise ValueError(complaint)
        return self

    def _complaints(self) -> Iterator[str]:
        for before, sheet in pairwise(sorted(self.sheets, key=lambda one: one.order)):
            if before.order == sheet.order:
                yield f"{before.key} and {sheet.key} have the same order {sheet.order}: give each its own"
        if list(self.sheets) != sorted(self.sheets, key=lambda sheet: sheet.order):
            yield "sheets must stand in route order"
        for sheet in self.sheets:
            for check in sheet.checks:
                yield from self._complaints_of(sheet, check)
        if circle := self._circle():
            yield f"checks depend on each other in a circle: {' -> '.join(circle)}"

    def _complaints_of(self, sheet: Sheet, check: Check) -> Iterator[str]:
        where = f"check {check.full_key}: "
        if check.when and check.when.check not in self._by_key:
            yield f"{where}when names {check.when.check}, which no station asks"
        elif check.when:
            yield from self._complaints_of_when(where, check.when, self._by_key[check.when.check])
        for origin in check.fill.values():
            if origin.startswith("answer.") and origin.removeprefix("answer.") not in self._by_key:
                yield f"{where}fill names {origin}, which no station asks"
            if origin.startswith("rating.") and origin.removeprefix("rating.") not in RATINGS:
                yield f"{where}fill names {origin}; ratings are {', '.join(RATINGS)}"
        for event in sheet.stale_after_of(check):
            found = DISTURBANCE.match(event)
            if not found:
                yield (
                    f'{where}stale_after "{event}" is not known: use work, nameplate, sent_back, '
                    "sent_back_to:STATION, station:STATION or check:STATION.CHECK"
                )
            elif (to := found["to"] or found["station"]) and to not in self._stations:
                yield f"{where}stale_after names station {to}, which does not exist"
            elif found["station"] == sheet.key:
                yield f"{where}stale_after names its own station: every answer there would void the others"
            elif found["check"] and found["check"] not in self._by_key:
                yield f"{where}stale_after names check {found['check']}, which no station asks"

    def _complaints_of_when(self, where: str, when: When, governing: Check) -> Iterator[str]:
        """An answer that can never be given would keep the check from ever being asked."""
        if when.at_least is not None and governing.kind is not CheckKind.READING:
            yield f"{where}when at_least needs a reading; {governing.full_key} is a {governing.kind}"
        can_be = ("yes", "no") if governing.kind is CheckKind.TICK else governing.options
        if when.is_in and governing.kind not in (CheckKind.TICK, CheckKind.CHOICE, CheckKind.TEXT):
            yield f"{where}when is_in needs a choice, a tick or a text; {governing.full_key} is a {governing.kind}"
        if can_be and (never := sorted(set(when.is_in) - set(can_be))):
            yield f"{where}when is_in names {', '.join(never)}; {governing.full_key} can be {', '.join(can_be)}"

    def _circle(self) -> list[str] | None:
        clear: set[str] = set()

        def walk(key: str, path: list[str]) -> list[str] | None:
            if key in path:
                return [*path[path.index(key) :], key]
            if key not in clear:
                for before in self._rests_on(key):
                    if circle := walk(before, [*path, key]):
                        return circle
                clear.add(key)
            return None

        return next(filter(None, (walk(key, []) for key in self._by_key)), None)

    def _rests_on(self, key: str) -> Iterator[str]:
        """The checks whose answers bring this one up or make its answer stale."""
        check = self._by_key.get(key)
        if check is None:
            return
        yield from self.checks_before(check)
        if check.when:
            yield check.when.check
        for event in self.stale_after(check):
            found = DISTURBANCE.match(event)
            if found and (sheet := self._stations.get(found["station"] or "")):
                yield from (one.full_key for one in sheet.checks)

    @cached_property
    def _by_key(self) -> dict[str, Check]:
        return {check.full_key: check for check in self.checks()}

    def asked(self, key: str) -> str:
        """What a check asks, in few words; of one that no sheet asks any more, its key as words."""
        check = self._by_key.get(key)
        return check.short if check else key.rpartition(".")[2].replace("_", " ")

    @cached_property
    def _stations(self) -> dict[str, Sheet]:
        return {sheet.key: sheet for sheet in self.sheets}

    def checks(self) -> Iterator[Check]:
        for sheet in self.sheets:
            yield from sheet.checks

    def stale_after(self, check: Check) -> tuple[str, ...]:
        return self._stale_after[check.full_key]

    @cached_property
    def _stale_after(self) -> dict[str, tuple[str, ...]]:
        return {one.full_key: sheet.stale_after_of(one) for sheet in self.sheets for one in sheet.checks}

    def checks_before(self, check: Check) -> tuple[str, ...]:
        """The checks whose evidence the given check rests on (its ``check:`` events)."""
        events = self.stale_after(check)
        return tuple(event.removeprefix("check:") for event in events if event.startswith("check:"))

    def check(self, full_key: str) -> Check | None:
        return self._by_key.get(full_key)

    def sheet(self, station: str) -> Sheet | None:
        return self._stations.get(station)

    def after(self, station: str) -> Sheet | None:
        """The next station of the route, or None behind the last."""
        here = self._stations[station].order
        return next((sheet for sheet in self.sheets if sheet.order > here), None)

    @property
    def first(self) -> Sheet:
        return self.sheets[0]

    @property
    def last(self) -> Sheet:
        return self.sheets[-1]
