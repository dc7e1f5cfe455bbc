"""The papers that go with a unit, made from its record, and the comparison of a paper with the record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import Connection

from traveller import __version__
from traveller.errors import InputError
from traveller.pictures.grid import unpacked
from traveller.pictures.print_size import for_print
from traveller.record.acts.deeds.way import Packing
from traveller.record.canonical import canonical
from traveller.record.carriage import Consignment, consignment_of
from traveller.record.carriage_entries import Packed
from traveller.record.paper import Seen, Sent, disagreements, read_sent, sent
from traveller.record.report import Report
from traveller.record.reporting import report_of
from traveller.record.shop import Shop, fold_shop
from traveller.record.shop_entries import SHOP
from traveller.record.thermal import Grid
from traveller.record.view import UnitView
from traveller.store import journal
from traveller.store.desk import Desk
from traveller.store.engine import reading
from traveller.store.given import instrument_tags
from traveller.store.keeping import Keeping
from traveller.store.picture import picture
from traveller.tags import read_tag
from traveller.tags.code import qr_matrix, seal_matrix

if TYPE_CHECKING:
    from traveller.documents.enclosed import Enclosed, Paperwork
    from traveller.documents.page import Paper


@dataclass(frozen=True)
class Compared:
    """What came of holding a paper against the record: nothing in `complaints` means that they agree."""

    tag: str
    report: Report
    complaints: tuple[str, ...]


class Papers:
    """What a workshop does with the papers of a unit."""

    def __init__(self, desk: Desk, keeping: Keeping) -> None:
        self._desk = desk
        self._keeping = keeping

    def facts(self, tag: str) -> Report:
        """The report as plain data."""
        unit = self._desk.unit_tag(tag)
        with reading(self._desk.engine) as connection:
            return self._facts(connection, self._desk.view(connection, unit))

    def report(self, tag: str, language: str = "en", paper: Paper = "a4") -> Paperwork:
        """The report as PDF: a draft, on every page, until the unit is released."""
        unit = self._desk.unit_tag(tag)
        with reading(self._desk.engine) as connection:
            facts = self._facts(connection, self._desk.view(connection, unit))
            whole = sent(facts, __version__, language, paper)
            enclosed = _enclosed(connection, whole)
        return _typeset(whole, enclosed)

    def pack(self, tag: str, by: str, packed: Packed, instruments: Sequence[str] = ()) -> UnitView:
        """Pack a unit: answers what dispatch asks about it."""

        in_hand = packed.model_copy(update={"scanned": read_tag(packed.scanned).text})
        return self._keeping.do(tag, by, Packing(packed=in_hand, instruments=instrument_tags(instruments)))

    def all(self, tag: str, language: str = "en", paper: Paper = "a4") -> dict[str, Paperwork]:
        """Every paper of the unit by the name of its file; those of the carriage once it is packed."""
        from traveller.documents.carriage import customs_paper, packing_list, warranty_paper
        from traveller.documents.enclosed import Paperwork

        unit = self._desk.unit_tag(tag)
        with reading(self._desk.engine) as connection:
            view = self._desk.view(connection, unit)
            facts = self._facts(connection, view)
            whole = consignment_of(view, facts, self._shop_then(connection, view)) if view.unit.packed else None
            report = sent(facts, __version__, language, paper)
            enclosed = _enclosed(connection, report)
        made = {"report.pdf": _typeset(report, enclosed)}
        code = qr_matrix(read_tag(unit))
        if facts.outcome == "repair":
            made["warranty.pdf"] = warranty_paper(facts, code, language, paper)
        if whole is None:
            return made
        made["packing-list.pdf"] = packing_list(whole, code, language, paper)
        if whole.packed.abroad:
            made["customs.pdf"] = customs_paper(whole, code, language, paper)
        labels = address_labels(whole)
        return made | {f"address-{number}.png": Paperwork(*one) for number, one in enumerate(labels, 1)}

    def compare(self, name: str, pdf: bytes) -> Compared:
        """Hold the PDF of a report against the record; InputError when it is no report of this shop."""
        from traveller.documents.attached import facts_in

        found = read_sent(name, facts_in(name, pdf))
        unit = self._desk.unit_tag(found.report.tag)
        with reading(self._desk.engine) as connection:
            view = self._desk.view(connection, unit)
            recorded = self._facts(connection, view)
            now = found.model_copy(update={"report": recorded, "digest": sent(recorded, "", "", "").digest})
            enclosed = _enclosed(connection, now)
            broken = self._broken(connection, view)
        made = _typeset(now, enclosed)
        complaints = disagreements(found, recorded, _seen(name, pdf), _seen(name, made.data), __version__)
        return Compared(unit, recorded, (*broken, *complaints))

    def _facts(self, connection: Connection, view: UnitView) -> Report:
        return report_of(view, self._shop_then(connection, view), self._desk.clock())

    def _shop_then(self, connection: Connection, view: UnitView) -> Shop:
        """The shop as it was when the unit was released, so that a later change of name changes no report."""
        if view.unit.release is None:
            return self._desk.shop(connection)
        return fold_shop(journal.read_until(connection, SHOP, view.unit.tag, view.unit.sequence))

    @staticmethod
    def _broken(connection: Connection, view: UnitView) -> list[str]:
        """The first line of the chain that does not fit, and a seal that is not the digest it was said to be."""
        unit = view.unit
        broken = journal.verify(connection, unit.tag)
        found = [f"The record itself is damaged: {broken.what}"] if broken else []
        if unit.release and unit.release.digest != journal.digest_at(connection, unit.tag, unit.sequence - 1):
            found.append("The seal in the record is not the digest of the entries before the release.")
        return found


def _enclosed(connection: Connection, paper: Sent) -> Enclosed:
    """Everything that the report needs of the record; typesetting it takes longer than anybody waits for a writer."""
    from traveller.documents.enclosed import Enclosed

    report, tag = paper.report, read_tag(paper.report.tag)
    kept = {one.picture: _kept(connection, one.picture) for one in report.photos}
    return Enclosed(
        tag_code=qr_matrix(tag),
        seal_code=seal_matrix(tag, report.release.seal) if report.release else None,
        facts_digest=paper.digest,
        photos=_printable(kept),
        grids=_grids(connection, report),
    )


def _typeset(paper: Sent, enclosed: Enclosed) -> Paperwork:
    from traveller.documents.attached import with_facts
    from traveller.documents.enclosed import Paperwork
    from traveller.documents.page import PAPERS
    from traveller.documents.report import typeset_report

    if paper.paper not in PAPERS:
        raise InputError(f'There is no paper "{paper.paper}": it is one of {", ".join(PAPERS)}.')
    done = typeset_report(paper.report, enclosed, paper.language, paper.paper)
    return Paperwork(with_facts(done.data, canonical(paper), paper.report.issued), done.missing)


def address_labels(whole: Consignment) -> list[tuple[bytes, tuple[str, ...]]]:
    """One label for each package."""
    from traveller.tags.address_label import AddressLabel, draw_address_label

    packed = whole.packed
    return [
        draw_address_label(
            AddressLabel(
                tag=read_tag(whole.report.tag),
                sender=", ".join((whole.report.shop, *whole.report.address.splitlines())),
                addressee=packed.addressee,
                carrier=packed.carrier,
                consignment=packed.consignment,
                number=number,
                packages=len(packed.packages),
                weight_kg=one.weight_kg,
            )
        )
        for number, one in enumerate(packed.packages, 1)
    ]


def _kept(connection: Connection, sha256: str) -> bytes | None:
    found = picture(connection, sha256)
    return found[1] if found else None


def _printable(kept: Mapping[str, bytes | None]) -> dict[str, bytes]:
    """The photos that are there and can be read; the report says of the others that they are lost."""
    small = {sha256: for_print(data) for sha256, data in kept.items() if data is not None}
    return {sha256: data for sha256, data in small.items() if data is not None}


def _grids(connection: Connection, report: Report) -> dict[str, Grid]:
    kept = {one.picture: _kept(connection, one.picture) for one in report.thermal}
    return {sha256: unpacked(data) for sha256, data in kept.items() if data is not None}


def _seen(name: str, pdf: bytes) -> Seen:
    from traveller.documents.attached import ink_of, pages_of

    try:
        return Seen(pages_of(pdf), ink_of(pdf))
    except (ValueError, KeyError, TypeError, AttributeError) as error:
        raise InputError(f"{name}: its pages cannot be read ({error}): take the file as it was sent out.") from None
