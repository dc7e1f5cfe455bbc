"""Findings and photos on the shipped sheets: one act answers the checks too, and all of it is kept."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.paint_shop import lay
from tests.pictures.made_files import corners, exif_with_place, file_of
from tests.small_shop import PLATE, lay_sheets
from traveller.commands.root import root
from traveller.errors import Refused
from traveller.record.answers import Chosen, Written
from traveller.record.brief.matter import Section
from traveller.stationbook import load_stations
from traveller.store.workshop import Workshop
from traveller.vocabulary import Role

NOW = datetime(2031, 3, 3, 6, 0, tzinfo=UTC)
TYPED = {"root_cause": "driver of Q3 open", "hours": "2", "rate": "80", "parts_cost": "40", "currency": "eur"}


SHIPPED = ("root_cause", "decision", "as_opened")
"""The checks of the shipped sheet of diagnosis that are asked here; the others are dropped."""


@pytest.fixture(name="shop")
def _shop(database_url: str, tmp_path: Path) -> Iterator[tuple[Workshop, str, str]]:
    """The workshop, its lead (who is a technician too), and a unit that stands at diagnosis."""
    sheets, diagnosis = lay_sheets(tmp_path / "sheets"), load_stations().book.sheet("diagnosis")
    assert diagnosis
    dropped = ", ".join(f'"{check.key}"' for check in diagnosis.checks if check.key not in SHIPPED)
    lay(sheets, f"[station]\ndrop = [{dropped}]\n", "diagnosis")
    workshop = Workshop.open(database_url, overlay=sheets, clock=lambda: NOW)
    lead = workshop.registry.enrol("Ines Okoro", [Role.LEAD, Role.TECHNICIAN], "2468")
    tag = workshop.book_in(lead, PLATE).unit.tag
    workshop.answer(tag, "goods_in.seen", "y", lead)
    workshop.move_on(tag, lead)
    yield workshop, lead, tag
    workshop.close()


def answers(workshop: Workshop, tag: str) -> tuple[object, object]:
    unit = workshop.unit(tag).unit
    given = [unit.current(f"diagnosis.{key}") for key in ("root_cause", "decision")]
    return given[0] and given[0].answer, given[1] and given[1].answer


def test_findings_answer_their_checks_and_authority_answers_the_decision(shop: tuple[Workshop, str, str]) -> None:
    workshop, lead, tag = shop
    workshop.findings.write(tag, lead, {**TYPED, "advice": "wait for authority"}, date(2031, 3, 10))
    assert answers(workshop, tag) == (Written(text="driver of Q3 open"), Chosen(option="wait for authority"))
    assert workshop.unit(tag).unit.hold
    with pytest.raises(Refused, match=r"authority is missing: estimate 200\.00 EUR"):
        workshop.resume(tag, lead)
        workshop.move_on(tag, lead)
    view = workshop.findings.authority_given(tag, lead, "Ms Thorne", "by mail", NOW.date(), "200", "EUR")
    assert answers(workshop, tag)[1] == Chosen(option="repair")
    assert not any(one.kind == "authority" for one in view.blockers)
    count = len(view.entries)
    workshop.findings.write(tag, lead, {**TYPED, "advice": "repair"})
    assert len(workshop.unit(tag).entries) == count + 1, "an answer that is the same is not given again"
    assert workshop.verify() == [] and workshop.cards_astray() == []


def test_to_wait_for_the_customer_is_a_decision_in_the_brief_and_no_failure(shop: tuple[Workshop, str, str]) -> None:
    """Held once, whether the hold says so or, when it was lifted too early, the decision alone."""
    workshop, lead, tag = shop

    def under(section: Section) -> list[str]:
        return [line.says for line in workshop.briefing.brief(lead).under(section) if line.unit == tag]

    workshop.findings.write(tag, lead, {**TYPED, "advice": "wait for authority"}, date(2031, 3, 10))
    (held,) = under(Section.HELD)
    assert held.startswith("the customer's authority")
    assert under(Section.BAD) == []
    workshop.resume(tag, lead)
    assert under(Section.HELD) == ["wait for authority: not on hold for it"]
    assert under(Section.BAD) == []


def test_photos_are_kept_listed_and_written_out(shop: tuple[Workshop, str, str], tmp_path: Path) -> None:
    workshop, lead, tag = shop
    (tmp_path / "IMG 1.jpg").write_bytes(file_of(corners(), "JPEG", exif=exif_with_place()))
    workshop.plan_work(tag, lead, ["Q3"], "IGBT", "failed")
    workshop.photos.take(tag, lead, str(tmp_path / "IMG 1.jpg"), "q3", "crack")
    with pytest.raises(Refused, match="neither a check nor a work line"):
        workshop.photos.take(tag, lead, str(tmp_path / "IMG 1.jpg"), "Q99")
    workshop.answer(tag, "diagnosis.as_opened", str(tmp_path / "IMG 1.jpg"), lead)
    names = [path.name for path in workshop.photos.save(tag, tmp_path / "out")]
    assert names == [f"{tag}-01-Q3-IMG-1.jpg", f"{tag}-02-diagnosis-as_opened-IMG-1.jpg"]
    assert b"PHONEMAKER" not in (tmp_path / "out" / names[0]).read_bytes()


@pytest.mark.parametrize("database_url", ["sqlite"], indirect=True)
def test_the_commands_do_the_same(
    shop: tuple[Workshop, str, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    workshop, lead, tag = shop
    monkeypatch.setenv("TRAVELLER_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("TRAVELLER_STATIONS", str(tmp_path / "sheets"))
    url = str(workshop.engine.url)

    def run(*words: str, status: int = 0) -> str:
        done = CliRunner().invoke(root, ["--database", url, "--as", lead, *words])
        assert done.exit_code == status, done.output
        return done.output

    cost = ("--hours", "2", "--rate", "80", "--parts", "40")
    said = run("findings", tag, "--cause", "dry capacitors", *cost, "--advice", "wait for authority", status=1)
    assert "on which day somebody looks again" in said
    run(
        "findings",
        tag,
        "--cause",
        "dry capacitors",
        *cost,
        "--advice",
        "wait for authority",
        "--look-again",
        "2031-03-09",
    )
    assert "estimate  160.00 EUR + 40.00 EUR = 200.00 EUR" in run("findings", tag)
    run("authority", tag, "--who", "Ms Thorne", "--how", "by mail", "--on", "2026-03-03", "--up-to", "250")
    assert json.loads(run("findings", tag, "--json"))["in_the_way"] is None
    run("authority", tag, "--who", "Ms Thorne", "--how", "by mail", "--on", "2026-03-03", "--refused")
    assert "authority refused by Ms Thorne" in run("findings", tag)
    (tmp_path / "board.png").write_bytes(file_of(corners(), "PNG"))
    run("photo", tag, str(tmp_path / "board.png"), "--of", "as_opened", "--caption", "as it came")
    (photo,) = json.loads(run("photo", tag, "--list", "--json"))["photos"]
    assert (photo["of"], photo["caption"], len(photo["sha256"])) == ("diagnosis.as_opened", "as it came", 64)
    (tmp_path / "letter.png").write_text("Dear customer")
    assert "is not a PNG, JPEG or TIFF" in run("photo", tag, str(tmp_path / "letter.png"), status=2)
