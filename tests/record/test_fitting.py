"""A substitute is judged against the part of the list when it is fitted; a weaker one needs the customer's word."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from tests.record.power_stage import STATIONS
from tests.record.refusals import anna, lea, refusal
from tests.record.shop_floor import ANNA, LEA, MORNING, TAG, ready_for_work
from traveller.judgement import Verdict
from traveller.record.acts import fitting, remark
from traveller.record.acts.fitting import originals
from traveller.record.entries import Body, NonconformityRaised
from traveller.record.parts_entries import Part, PartKind, PartsListed
from traveller.record.view import UnitView, view
from traveller.record.work_entries import WorkFitted, WorkPlanned

C17 = Part(
    reference="C17", kind=PartKind.ELECTROLYTIC, value="470 µF", rating="450 V 105 °C 2,1 A", footprint="snap-in 10"
)
K3 = Part(reference="K3", kind=PartKind.RELAY, value="24 V", rating="24 V 8 A")
GOOD = {"voltage": "500", "value": "470u", "temperature": "105", "ripple": "2.4", "package": "snap-in  10"}


def seen() -> UnitView:
    traveller = ready_for_work()
    traveller.enter(PartsListed(parts=(C17, K3), origin="by hand"), ANNA)
    for part in (C17, K3):
        traveller.enter(WorkPlanned(reference=part.reference, part=part.label, reason="aged"), ANNA)
    traveller.enter(WorkPlanned(reference="U7", part="driver", reason="driver check", action="check"), ANNA)
    plain = traveller.view
    return view(TAG, plain.entries, plain.book, STATIONS.judges)


def fit(v: UnitView, place: str, offered: Mapping[str, str], anyway: str = "") -> list[Body]:
    return [one.body for one in fitting.fit(v, anna, place, "another type", "2631", MORNING, offered, anyway)]


def test_the_original_is_read_from_the_parts_list() -> None:
    assert originals(C17) == {
        "original_voltage": 450,
        "original_temperature": 105,
        "original_ripple": 2.1,
        "original_value": 470e-6,
        "original_package": "snap-in 10",
    }
    assert originals(K3) == {}  # more volts on a coil are not better
    odd = Part(reference="C1", kind=PartKind.FILM, value="see drawing", rating="1,000 V")
    assert originals(odd) == {}  # may be one volt or a thousand: a person types it


def test_as_good_in_every_figure_goes_in_with_its_finding() -> None:
    (body,) = fit(seen(), "C17", GOOD)
    assert isinstance(body, WorkFitted)
    assert body.finding
    assert (body.finding.verdict, body.finding.says) == (Verdict.PASS, "as good in all 5 compared")


def test_the_listed_part_needs_no_figures() -> None:
    (body,) = fit(seen(), "C17", {})
    assert isinstance(body, WorkFitted)
    assert body.finding is None


def test_a_weaker_one_is_refused() -> None:
    (said,) = refusal(lambda v: fitting.fit(v, anna, "C17", "x", "", MORNING, {**GOOD, "voltage": "400"}), seen())
    assert said.startswith("C17: substitute weaker or different: rated voltage. Fit a better one")


def test_what_is_known_of_the_original_has_to_be_known_of_the_substitute() -> None:
    (said,) = refusal(lambda v: fitting.fit(v, anna, "C17", "x", "", MORNING, {"voltage": "450"}), seen())
    assert "not known of one part" in said
    assert "rated temperature" in said


def test_fitted_all_the_same_it_needs_a_concession_before_release() -> None:
    v = seen()
    fitted, raised = fit(v, "C17", {**GOOD, "voltage": "400"}, "none to be had, link is 325 V")
    assert isinstance(raised, NonconformityRaised)
    assert raised.found.startswith("C17: substitute weaker or different: rated voltage")
    traveller = ready_for_work()
    traveller.entries = list(v.entries)
    for body in (fitted, raised):
        traveller.enter(body, ANNA)
    (one,) = traveller.view.unit.open_nonconformities()
    assert "nonconformity" in {reason.kind for reason in traveller.view.reasons}
    for proposed in remark.concede(traveller.view, lea, one.id, "derated", "by letter"):
        traveller.enter(proposed.body, LEA)
    assert "nonconformity" not in {reason.kind for reason in traveller.view.reasons}


@pytest.mark.parametrize(
    ("offered", "words"),
    [
        ({"colour": "blue"}, "is not asked here"),
        ({"voltage": "many"}, "offered voltage"),
        ({"voltage": "500", "original_voltage": "100"}, "comes from the record"),
    ],
)
def test_figures_that_cannot_be_read_are_said(offered: dict[str, str], words: str) -> None:
    said = refusal(lambda v: fitting.fit(v, anna, "C17", "x", "", MORNING, offered), seen())
    assert words in " ".join(said)


def test_figures_of_an_original_that_the_list_does_not_know_are_typed() -> None:
    (body,) = fit(seen(), "K3", {"voltage": "24", "original_voltage": "24"})
    assert isinstance(body, WorkFitted)
    assert body.finding
    assert body.finding.verdict is Verdict.PASS


def test_a_line_to_check_asks_for_what_was_found_only() -> None:
    (body,) = fit(seen(), "U7", {"voltage": "1"})
    assert isinstance(body, WorkFitted)
    assert body.finding is None
