"""The sheets of a heat run: plan, start, reading, note, stop, a fault settled."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values
from traveller.screens.words import with_kept

if TYPE_CHECKING:
    from traveller.record.heat_runs.plan import Plan
    from traveller.record.heat_runs.watch import RunWatch
    from traveller.screens.run.page import RunPage

POWER = "Guards closed, emergency stop tried, people off the load. Local rules and the maker's manual come first."


def _ask(
    page: RunPage, title: str, lines: Sequence[Line], job: Callable[[Values], Any], said: str, caution: str = ""
) -> None:
    def done(after: Any) -> None:
        page.acted(with_kept(said, after) if hasattr(after, "kept") else said)

    page.app.push_screen(SheetOfFields(title, lines, job, done, caution=caution))


def plan(page: RunPage, usual: Plan) -> None:
    from traveller.record.heat_runs.changes import Changes, changed
    from traveller.record.heat_runs.times import read_moment, zone_named

    shop = page.terminal.shop
    rigs = {rig.name: tag for tag, rig in shop.rigs.items() if not rig.out_of_use} if shop else {}
    raised = ", ".join(f"{s.percent:g} % {s.minutes:g} min" for s in usual.steps if s.what == "raise")
    over = ", ".join(f"{s.percent:g} % {s.minutes:g} min" for s in usual.steps if s.what == "overload")
    lines = [
        Line("rig", "rig", options=tuple(rigs)),
        Line("begins", "from", "now, 14:30 or 2026-12-01 14:30", value="now"),
        Line("steps", "steps on the way up", "percent and minutes, commas between; none for none", value=raised),
        Line("hold", "minutes at full load", value=f"{usual.hold.minutes:g}"),
        Line("overload", "overload afterwards", "150 % 1 min; empty: none", value=over, optional=True),
        Line("band", "band around rated (%)", value=f"{usual.band_percent:g}"),
        Line("every", "read every (min)", value=f"{usual.reading_minutes:g}"),
        Line(
            "gap",
            "longest gap (min)",
            "longer without a reading, and the hold begins anew",
            value=f"{usual.gap_minutes:g}",
        ),
        Line("channel", "channel, other or new", "heatsink: temperature, at most 80", optional=True),
        Line("drop", "channel left out", "its name", optional=True),
    ]

    def job(v: Values) -> Any:
        wanted = Changes(
            steps=v["steps"],
            hold=v["hold"],
            overload=v["overload"] or ("none" if over else ""),
            band=v["band"],
            every=v["every"],
            gap=v["gap"],
            channels=tuple(one for one in [v["channel"]] if one),
            drop=tuple(one for one in [v["drop"]] if one),
        )
        begins = read_moment(v["begins"], zone_named(shop.zone if shop else "UTC"), page.workshop.desk.clock())
        made = changed(usual, wanted)
        return page.workshop.heat_runs.plan(page.tag, rigs[v["rig"]], page.terminal.by, made, begins)

    _ask(page, "Plan the run", lines, job, "planned, and the rig is booked")


def start(page: RunPage) -> None:
    lines = [Line("sure", "full power now", "y: it counts as energised from here on", options=("yes",))]
    job = lambda _v: page.workshop.heat_runs.start(page.tag, page.terminal.by)  # noqa: E731
    _ask(page, "Start the run", lines, job, "started: live until it is measured dead", POWER)


def reading(page: RunPage, one: RunWatch) -> None:
    from traveller.quantities import read_quantity

    channels = one.run.plan.channels
    lines = [
        Line(f"c{place}", f"{c.name} ({c.unit})", c.limit_words(), optional=True) for place, c in enumerate(channels)
    ]
    lines.append(Line("note", "note", optional=True))

    def job(v: Values) -> Any:
        typed = {
            c.name: read_quantity(v[f"c{place}"], c.unit).value for place, c in enumerate(channels) if v[f"c{place}"]
        }
        return page.workshop.heat_runs.reading(page.tag, page.terminal.by, typed, note=v["note"])

    _ask(page, "Reading", lines, job, "entered")


def note(page: RunPage) -> None:
    lines = [Line("text", "note", "what to watch, what was changed")]
    _ask(page, "Note", lines, lambda v: page.workshop.note(page.tag, page.terminal.by, v["text"]), "noted")


def stop(page: RunPage) -> None:
    lines = [Line("why", "why", "hold met, or what went wrong")]
    caution = "The load is off; the unit stays live and hot until a reading says otherwise. Leave the fans on."
    job = lambda v: page.workshop.heat_runs.stop(page.tag, page.terminal.by, v["why"])  # noqa: E731
    _ask(page, "Stop the run", lines, job, "stopped: measure it dead, then j judges the run", caution)


def settle(page: RunPage, one: RunWatch) -> None:
    keys = tuple(fault.key for fault in one.faults)
    lines = [Line("fault", "fault of the input", options=keys), Line("how", "what was looked at and found")]

    def job(v: Values) -> Any:
        return page.workshop.heat_runs.settle(page.tag, page.terminal.by, v["fault"], v["how"])

    _ask(page, "A fault is settled", lines, job, "settled")
