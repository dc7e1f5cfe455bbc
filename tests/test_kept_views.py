"""A terminal keeps the last views that it folded; what another terminal enters is seen all the same."""

from __future__ import annotations

from pathlib import Path

from traveller.record.entries import Nameplate
from traveller.store.desk import KEPT_VIEWS
from traveller.store.workshop import Workshop
from traveller.vocabulary import Role, UnitKind

PLATE = Nameplate(
    unit_kind=UnitKind.CIRCUIT_BOARD, maker="Sorrel", model="card", serial="A1", customer="Mill", fault="dead"
)


def test_another_terminals_entry_is_seen_at_once(tmp_path: Path) -> None:
    # The rule: docs and design, "append-only": the digest of the last entry stands for all before it.
    one, other = (Workshop.open(str(tmp_path / "shop.sqlite"), terminal=name) for name in ("one", "other"))
    lead = one.registry.enrol("Ada Berg", [Role.LEAD, Role.TECHNICIAN], "2468")
    tag = one.book_in(lead, PLATE).unit.tag
    assert one.unit(tag) is one.unit(tag)
    other.note(tag, lead, "seen from the other terminal")
    assert len(one.unit(tag).unit.notes) == 1
    assert one.unit(tag).entries == other.unit(tag).entries


def test_only_so_many_views_are_kept(tmp_path: Path) -> None:
    shop = Workshop.open(str(tmp_path / "shop.sqlite"))
    lead = shop.registry.enrol("Ada Berg", [Role.LEAD, Role.TECHNICIAN], "2468")
    tags = [shop.book_in(lead, PLATE).unit.tag for _ in range(KEPT_VIEWS + 2)]
    first = shop.unit(tags[0])
    assert shop.unit(tags[0]) is first and shop.unit(tags[0]).unit.nameplate == PLATE
    for tag in tags[1:]:
        shop.unit(tag)
    assert shop.unit(tags[0]) is not first
