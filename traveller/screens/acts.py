"""What can be done to a unit besides answering: a list of acts, each a short sheet of fields."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from functools import partial
from typing import TYPE_CHECKING
from uuid import UUID

from traveller.errors import InputError
from traveller.screens.choice import Choice, Way
from traveller.screens.noting import note_lines, take_note
from traveller.screens.pages_of_unit import page_named, pages_for
from traveller.screens.returning import link_earlier
from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values

if TYPE_CHECKING:
    from traveller.record.view import UnitView
    from traveller.screens.unit import UnitPage
    from traveller.store.workshop import Workshop

Act = Callable[[Values], "UnitView"]


def read_day(text: str) -> date:
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise InputError(f'"{text}" is not a day: write it as 2026-12-31.') from None


def ways_for(view: UnitView) -> list[Way]:
    """The pages that belong to where the unit stands, the acts that make sense for it, the other pages."""
    unit = view.unit
    later = view.sheet is not None and view.sheet is not view.book.first
    unanswered, open_ones = unit.open_questions(), unit.open_nonconformities()
    ways = [
        (True, Way("note", "n", "note", "for whoever comes next")),
        (True, Way("ask", "q", "question", "keeps the unit here until somebody replies")),
        (bool(unanswered), Way("reply", "a", "answer a question", unanswered[0].text if unanswered else "")),
        (later, Way("back", "b", "back to an earlier station", "with what was found")),
        (bool(unit.hold), Way("resume", "r", "resume", f"it waits: {unit.hold.reason}" if unit.hold else "")),
        (not unit.hold, Way("hold", "h", "hold", "it has to wait, until a day to look again")),
        (True, Way("hazard", "d", "danger: raise a hazard", "something that can hurt")),
        (bool(unit.hazards), Way("clear", "c", "clear a hazard", "by signature, saying what was measured")),
        (True, Way("nonconformity", "x", "nonconformity", "something is not as it should be")),
        (bool(open_ones), Way("close", "p", "put right: close it", "seen by somebody else than who did it")),
        (bool(open_ones), Way("concede", "l", "let pass: concession", "shift lead, with the customer's word")),
        (True, Way("correct", "m", "mend the last answer", "a slip of the pen in the chosen check")),
        (True, Way("decide", "e", "end: repair or not", "return unrepaired or scrap, shift lead")),
        (True, Way("plate", "w", "wrong nameplate", "correct what was booked in")),
        (not unit.returned, Way("returned", "y", "yes, here before: link it", "the earlier traveller, the warranty")),
        (True, Way("sheets", "u", "use the newest sheets", "shift lead: the present checklists")),
    ]
    here, elsewhere = pages_for(view)
    return [*here, *(way for fits, way in ways if fits), *elsewhere]


def choose_act(page: UnitPage, view: UnitView) -> None:
    def chosen(key: str | None) -> None:
        if key and (opened := page_named(key, page.tag)):
            page.app.push_screen(opened)
        elif key:
            OWN_SHEETS.get(key, partial(_open, key=key))(page, view)

    page.app.push_screen(Choice(f"{page.tag}: what do you want to do?", ways_for(view)), chosen)


def _nameplate(page: UnitPage, view: UnitView) -> None:
    from traveller.screens.booking import correct_booking

    correct_booking(page, view)


def _back(page: UnitPage, view: UnitView) -> None:
    from traveller.screens.sending_back import send_back

    check = page.chosen_check() if _is_bad(view, page.chosen_check()) else ""
    send_back(page, view, lambda after: page.acted(after, "sent back"), check=check)


OWN_SHEETS: dict[str, Callable[[UnitPage, UnitView], None]] = {
    "plate": _nameplate,
    "back": _back,
    "returned": link_earlier,
}
"""The acts that open a sheet of their own; every other act's sheet is put together here."""


def _open(page: UnitPage, view: UnitView, key: str) -> None:
    try:
        title, lines, act, said, caution = _sheet(page, view, key)
    except InputError as error:
        page.terminal.refuse(error)
        return
    page.app.push_screen(SheetOfFields(title, lines, act, lambda after: page.acted(after, said), caution=caution))


def _signed_on(page: UnitPage) -> str:
    """Asked for when a sheet is entered: a badge may be scanned while it is being filled in."""
    return page.terminal.by


def _sheet(page: UnitPage, view: UnitView, key: str) -> tuple[str, Sequence[Line], Act, str, str]:
    """Title, lines, the act itself, what to say afterwards, and the caution."""
    tag, by, shop = page.tag, partial(_signed_on, page), page.workshop
    if key in ("hazard", "clear"):
        return _hazard_sheet(view, key, tag, by, shop)
    if key in ("nonconformity", "close", "concede"):
        return _nonconformity_sheet(page, view, key, tag, by, shop)
    match key:
        case "note":
            return "Note: one line is enough", note_lines(), lambda v: take_note(shop, tag, by(), v), "noted", ""
        case "ask":
            lines = [Line("text", "question"), Line("to", "to whom", "a name or a crew", optional=True)]
            return "Question", lines, lambda v: shop.ask(tag, by(), v["text"], v["to"]), "asked", ""
        case "reply":
            question = view.unit.open_questions()[0]
            lines = [Line("text", "reply", question.text)]
            return "Reply", lines, lambda v: shop.reply(tag, question.id, by(), v["text"]), "replied", ""
        case "hold":
            lines = [
                Line("reason", "it waits for", "parts, the customer's word, a rig, an instrument"),
                Line("day", "look again on", "year-month-day, for example 2026-12-31"),
            ]
            return "Hold", lines, lambda v: shop.hold(tag, by(), v["reason"], read_day(v["day"])), "it waits", ""
        case "resume":
            lines = [Line("note", "note", optional=True)]
            return "Resume", lines, lambda v: shop.resume(tag, by(), v["note"]), "resumed", ""
        case "decide":
            lines = [
                Line("outcome", "what becomes of it", options=("repair", "return unrepaired", "scrap")),
                Line("reason", "why"),
                Line("word", "the customer's word", "who agreed, when and how; not for a repair", optional=True),
            ]
            return (
                "Decide",
                lines,
                lambda v: shop.decide(tag, by(), v["outcome"], v["reason"], v["word"]),
                "decided",
                "",
            )
        case "sheets":
            lines = [Line("reason", "why")]
            return (
                "Newest sheets",
                lines,
                lambda v: shop.move_to_present_sheets(tag, by(), v["reason"]),
                "moved",
                "",
            )
    return _correction_sheet(page, view, tag, by, shop)


def _is_bad(view: UnitView, check: str) -> bool:
    known = view.book.check(check)
    return bool(
        known and view.proof.is_asked(known) and view.proof.standing(known).state.value in ("fail", "undecided")
    )


def _hazard_sheet(
    view: UnitView, key: str, tag: str, by: Callable[[], str], shop: Workshop
) -> tuple[str, Sequence[Line], Act, str, str]:
    from traveller.vocabulary import HazardKind

    def kind_of(label: str) -> HazardKind:
        return next(one for one in HazardKind if one.label == label)

    if key == "hazard":
        options = tuple(one.label for one in HazardKind if one not in view.unit.hazards)
        lines = [
            Line("kind", "hazard", options=options),
            Line("detail", "what and where", "of an open panel: which cover, what is live behind"),
        ]
        return (
            "Raise a hazard",
            lines,
            lambda v: shop.raise_hazard(tag, kind_of(v["kind"]), by(), v["detail"]),
            "raised",
            "Make it safe first; then write it down.",
        )
    lines = [
        Line("kind", "hazard", options=tuple(one.label for one in view.unit.hazards)),
        Line("how", "what was measured or done"),
    ]
    return (
        "Clear a hazard",
        lines,
        lambda v: shop.clear_hazard(tag, kind_of(v["kind"]), by(), v["how"]),
        "cleared",
        "Prove dead with a meter that was proved before and after. Local rules and the maker's manual come first.",
    )


def _nonconformity_sheet(
    page: UnitPage, view: UnitView, key: str, tag: str, by: Callable[[], str], shop: Workshop
) -> tuple[str, Sequence[Line], Act, str, str]:
    open_ones = {f"{one.found[:50]}": one.id for one in view.unit.open_nonconformities()}
    which = Line("which", "nonconformity", options=tuple(open_ones))

    def the(values: Values) -> UUID:
        return open_ones[values["which"]]

    if key == "close":
        lines = [which, Line("how", "how it was put right")]
        return "Close", lines, lambda v: shop.close_nonconformity(tag, the(v), by(), v["how"]), "closed", ""
    if key == "concede":
        lines = [
            which,
            Line("why", "why it may leave so"),
            Line("word", "the customer's word", "who, when, how"),
        ]
        caution = "A concession is printed on the report. It covers the answer that stands now and no later one."
        return (
            "Concession",
            lines,
            lambda v: shop.concede(tag, the(v), by(), v["why"], v["word"]),
            "conceded",
            caution,
        )
    check = page.chosen_check() if _is_bad(view, page.chosen_check()) else ""
    asked = view.book.check(check)
    lines = [Line("found", "what was found", f"at the check: {asked.ask}" if asked else "")]
    return "Nonconformity", lines, lambda v: shop.raise_nonconformity(tag, by(), v["found"], check), "raised", ""


def _correction_sheet(
    page: UnitPage, view: UnitView, tag: str, by: Callable[[], str], shop: Workshop
) -> tuple[str, Sequence[Line], Act, str, str]:
    from traveller.record.answering import how_to_answer
    from traveller.record.answers import in_words

    check = page.chosen_check()
    evidence = view.unit.current(check)
    asked = view.book.check(check)
    if asked is None or evidence is None or evidence.answer is None:
        raise InputError("There is no answer to mend in the chosen check: answer it instead.")
    lines = [Line("value", "the right value", how_to_answer(asked)), Line("because", "what went wrong")]

    def mend(values: Values) -> UnitView:
        used = [one.tag for one in evidence.instruments]
        return shop.answer(tag, check, values["value"], by(), used, corrects=evidence.entry, because=values["because"])

    caution = "For a slip of the pen only. A new measurement is a new answer: type it into the line."
    title = f"Mend: {asked.ask} It says: {in_words(evidence.answer)}"
    return title, lines, mend, "mended; both versions stay", caution
