"""How a parts list comes onto a unit: from an earlier unit of the model, from a file, or part by part."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from traveller.errors import InputError
from traveller.screens.choice import Choice, Way
from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values
from traveller.screens.words import with_kept

if TYPE_CHECKING:
    from traveller.parts_csv import HeadersUnknown
    from traveller.record.view import UnitView
    from traveller.screens.worklist import WorkPage
    from traveller.store.parts import KnownList

KINDS = "electrolytic, film, relay, optocoupler, fan, IGBT, thyristor, diode, driver, regulator, logic, ..."


def enter_parts(page: WorkPage) -> None:
    """Offers what there is; the list of an earlier unit comes first when the workshop has one."""
    workshop, tag = page.workshop, page.tag

    def look() -> KnownList | None:
        plate = workshop.unit(tag).unit.nameplate
        return workshop.parts.known_for(plate.maker, plate.model, besides=tag) if plate else None

    page.terminal.errand(look, partial(_choose, page))


def _choose(page: WorkPage, known: KnownList | None) -> None:
    if not page.is_current:
        return
    ways = [
        Way("file", "f", "from a file (CSV)", "the whole list; it replaces the one before"),
        Way("hand", "h", "one by hand", "one kind of part, at one place or more"),
    ]
    if known:
        does = f"{len(known.parts.parts)} parts of the same model, {known.tag}"
        ways.insert(0, Way("earlier", "e", "from an earlier unit", does))

    def chosen(key: str | None) -> None:
        if key == "earlier" and known:
            job = partial(page.workshop.parts.take_from, page.tag, known.tag, page.terminal.by)
            page.terminal.errand(job, partial(_listed, page))
        elif key == "file":
            _ask_file(page)
        elif key == "hand":
            _ask_part(page)

    page.app.push_screen(Choice(f"{page.tag}: the parts list", ways), chosen)


def _listed(page: WorkPage, view: UnitView) -> None:
    page.paint(view)
    page.tell(with_kept(f"{view.unit.parts.says}; w works the work list out", view))


def _ask_file(page: WorkPage) -> None:
    from traveller.parts_csv import HeadersUnknown

    def act(values: Values) -> UnitView | tuple[str, HeadersUnknown]:
        try:
            return page.workshop.parts.import_list(page.tag, values["path"], page.terminal.by)
        except HeadersUnknown as unknown:
            return values["path"], unknown

    def done(result: UnitView | tuple[str, HeadersUnknown]) -> None:
        if isinstance(result, tuple):
            _ask_columns(page, *result)
        else:
            _listed(page, result)

    lines = [Line("path", "file", "the path of a CSV file; its first line names the columns")]
    page.app.push_screen(SheetOfFields("Parts list from a file", lines, act, done))


def _ask_columns(page: WorkPage, path: str, unknown: HeadersUnknown) -> None:
    """Which column is which, once; it is remembered for files with these headers."""
    from traveller.record.parts import FIELDS, NEEDED

    lines = [
        Line(name, name.replace("_", " "), "which column is it?", options=unknown.headers, optional=name not in NEEDED)
        for name in FIELDS
    ]

    def act(values: Values) -> UnitView:
        said = {header: name for name, header in values.items() if header}
        return page.workshop.parts.import_list(page.tag, path, page.terminal.by, said)

    intro = "These headers are new here. Say which column is which; it is remembered."
    page.app.push_screen(SheetOfFields("Which column is which?", lines, act, partial(_listed, page), intro=intro))


def _ask_part(page: WorkPage) -> None:
    lines = [
        Line("references", "places on the board", "as printed: Q3, or C1-C4"),
        Line("kind", "kind", KINDS),
        Line("value", "value", "470u, 24 V, type", optional=True),
        Line("rating", "rating", "450 V 105 °C", optional=True),
        Line("footprint", "footprint", optional=True),
        Line("matched_set", "matched set", "power stage", optional=True),
        Line("board", "board", optional=True),
        Line("drives", "drives", "the power devices that it drives: Q1,Q2", optional=True),
    ]

    def act(values: Values) -> UnitView:
        more = {name: text for name, text in values.items() if name not in ("references", "kind")}
        return page.workshop.parts.add(page.tag, values["references"], _kind(values["kind"]), page.terminal.by, **more)

    page.app.push_screen(SheetOfFields("Part by hand", lines, act, partial(_listed, page)))


def _kind(typed: str) -> str:
    """The kind whose name begins so; the workshop's own words for kinds stay as they were typed."""
    from traveller.record.answering import choose
    from traveller.record.parts_entries import PartKind

    try:
        return choose([kind.value for kind in PartKind], typed)
    except InputError:
        return typed
