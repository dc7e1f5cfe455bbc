"""Every act that a rule forbids is refused, in a sentence that a person at a bench can act on."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from uuid import UUID

import pytest

from tests.record.refusals import Act, anna, ben, gone, here, ida, lea, refusal
from tests.record.shop_floor import (
    ANNA,
    BEN,
    IDA,
    MORNING,
    NAMEPLATE,
    VOLTMETER,
    Traveller,
    amps,
    volts,
)
from tests.record.three_stations import (
    BOOK,
    CHARGE,
    CLEANED,
    DAMAGE,
    INSPECTED,
    OUTPUT,
    PHOTOS,
)
from traveller.record.acts import answer as answering
from traveller.record.acts import remark, route, work
from traveller.record.answers import Calculated, Chosen, NotApplicable, Ticked
from traveller.record.entries import HazardRaised, Held
from traveller.record.shop import Shop
from traveller.record.work_entries import WorkFitted, WorkPlanned
from traveller.vocabulary import HazardKind

YES, NO = Ticked(yes=True), Ticked(yes=False)
TODAY = MORNING.date()
UNKNOWN = UUID(int=7)


def nothing(_: Traveller) -> None: ...


def fitted(t: Traveller) -> None:
    t.enter(WorkPlanned(reference="Q3", part="transistor", reason="failed"), ANNA)
    t.enter(WorkFitted(reference="Q3", fitted="transistor"), BEN)


DC_LINK_OF_470_F = NAMEPLATE.model_copy(update={"ratings": {"dc_link_capacitance": 470.0}})

REFUSED: dict[str, tuple[Callable[[Traveller], object], Act, str]] = {
    # who may
    "answering without the role": (nothing, lambda v: answering.answer(v, ida, CLEANED, YES), "may not answer"),
    "moving without the role": (nothing, lambda v: route.move_on(v, ida), "may not move"),
    "sending back without the role": (nothing, lambda v: route.send_back(v, ida, "goods_in", "rust"), "may not send"),
    "planning without the role": (nothing, lambda v: work.plan(v, ida, ["Q3"], "fuse", "failed"), "may not plan work"),
    "fitting without the role": (fitted, lambda v: work.fit(v, ida, "Q3", "fuse"), "may not fit"),
    "verifying without the role": (fitted, lambda v: work.verify(v, anna, "Q3"), "may not verify"),
    "clearing a hazard without the role": (
        lambda t: t.enter(HazardRaised(hazard=HazardKind.HOT, detail="sink"), IDA),
        lambda v: remark.clear_hazard(v, ida, HazardKind.HOT, "30 °C"),
        "may not clear",
    ),
    "a note by somebody who has left": (nothing, lambda v: remark.note(v, gone, "seen"), "may not write"),
    "a shelf by somebody who has left": (nothing, lambda v: route.place(v, gone, "S-1", Shop()), "scan"),
    "deciding without the role": (nothing, lambda v: route.decide(v, anna, "repair", "sure", ""), "may not decide"),
    # own work
    "verifying own work": (fitted, lambda v: work.verify(v, ben, "Q3"), "somebody else"),
    # held, released, elsewhere
    "holding twice": (
        lambda t: t.enter(Held(reason="parts", look_again=TODAY), ANNA),
        lambda v: route.hold(v, lea, "more parts", TODAY, TODAY),
        "already on hold",
    ),
    "moving on while held": (
        lambda t: (t.answer(CLEANED, YES, ANNA), t.enter(Held(reason="parts", look_again=TODAY), ANNA)),
        lambda v: route.move_on(v, anna),
        "on hold: parts",
    ),
    "a day to look again that is past": (
        nothing,
        lambda v: route.hold(v, anna, "parts", TODAY - timedelta(days=1), TODAY),
        "in the past",
    ),
    "resuming what is not held": (nothing, lambda v: route.resume(v, anna), "not on hold"),
    "a later station's check": (nothing, lambda v: answering.answer(v, ida, INSPECTED, YES), "Move it on first"),
    "a check that does not exist": (nothing, lambda v: answering.answer(v, anna, "goods_in.x", YES), "no check"),
    "a check under another station": (nothing, lambda v: answering.answer(v, anna, "x.charge", YES), CHARGE),
    "a check that is not asked": (nothing, lambda v: answering.answer(v, anna, PHOTOS, YES), "is not asked"),
    "sending forward": (nothing, lambda v: route.send_back(v, anna, "dispatch", "rust"), "sent back only"),
    "sending to where it stands": (nothing, lambda v: route.send_back(v, anna, "component_work", "rust"), "back only"),
    "sending to nowhere": (nothing, lambda v: route.send_back(v, anna, "nowhere", "rust"), "goods_in"),
    "sending back for an unknown check": (
        nothing,
        lambda v: route.send_back(v, anna, "goods_in", "rust", "goods_in.x"),
        "no check",
    ),
    "a place that is no shelf": (nothing, lambda v: route.place(v, anna, "S-9", Shop()), "neither a shelf nor a rig"),
    # words
    "scrapping without the customer's word": (
        nothing,
        lambda v: route.decide(v, lea, "scrap", "burnt", " "),
        "customer",
    ),
    "a note of nothing": (nothing, lambda v: remark.note(v, anna, "  "), "nothing was typed"),
    "a question of nothing": (nothing, lambda v: remark.ask(v, anna, ""), "nothing was typed"),
    "a hold for nothing": (nothing, lambda v: route.hold(v, anna, "", TODAY, TODAY), "waits for"),
    # answers
    "no instrument": (nothing, lambda v: answering.answer(v, anna, CHARGE, volts(3)), "Scan its tag"),
    "an instrument of another class": (
        nothing,
        lambda v: answering.answer(
            v, anna, CHARGE, volts(3), [VOLTMETER.model_copy(update={"instrument_class": "scale"})]
        ),
        "Which voltmeter",
    ),
    "n/a where a check always applies": (
        nothing,
        lambda v: answering.answer(v, anna, CLEANED, NotApplicable(reason="hurry")),
        "cannot be left out",
    ),
    "n/a without a reason": (
        nothing,
        lambda v: answering.answer(v, anna, OUTPUT, NotApplicable(reason=" ")),
        "Say why",
    ),
    "fields for a tick": (nothing, lambda v: answering.answer(v, anna, CLEANED, Calculated(inputs={})), "y or n"),
    "a tick for a reading": (nothing, lambda v: answering.answer(v, anna, OUTPUT, YES), "a value in A"),
    "volts for amps": (nothing, lambda v: answering.answer(v, anna, OUTPUT, volts(10)), "in V"),
    "an impossible reading": (nothing, lambda v: answering.answer(v, anna, OUTPUT, amps(501)), "cannot be"),
    "a choice that is none": (
        nothing,
        lambda v: answering.answer(v, anna, DAMAGE, Chosen(option="a little")),
        "not one of the choices",
    ),
    # the work list
    "a line that is there already": (fitted, lambda v: work.plan(v, anna, ["q3"], "fuse", "failed"), "already"),
    "no line": (nothing, lambda v: work.plan(v, anna, [], "fuse", "failed"), "at least one part"),
    "no reference": (nothing, lambda v: work.plan(v, anna, ["3"], "fuse", "failed"), "Q3 or C17"),
    "fitting what is not planned": (nothing, lambda v: work.fit(v, anna, "Q3", "fuse"), "plan it first"),
    "striking by a technician": (
        lambda t: t.enter(WorkPlanned(reference="Q3", part="fuse", reason="failed"), ANNA),
        lambda v: work.strike(v, anna, "Q3", "not needed"),
        "may not strike",
    ),
    "striking what is fitted": (fitted, lambda v: work.strike(v, lea, "Q3", "not needed"), "fitted"),
    "verifying what is not fitted": (
        lambda t: t.enter(WorkPlanned(reference="Q3", part="fuse", reason="failed"), ANNA),
        lambda v: work.verify(v, ida, "Q3"),
        "planned",
    ),
    # 470 typed for 470 µF: DC links of drives lie between some 100 µF and some 100 mF (from memory)
    "a nameplate that cannot be": (
        nothing,
        lambda v: answering.correct_nameplate(v, lea, DC_LINK_OF_470_F, "misread"),
        "DC-link capacitance: 470 F cannot be. Look at the prefix: type for example 470u",
    ),
    # what is not there
    "clearing a hazard that does not stand": (
        nothing,
        lambda v: remark.clear_hazard(v, anna, HazardKind.HOT, "cold"),
        "does not stand",
    ),
    "raising a hazard twice": (
        lambda t: t.enter(HazardRaised(hazard=HazardKind.HOT, detail="sink"), IDA),
        lambda v: remark.raise_hazard(v, anna, HazardKind.HOT, "sink"),
        "stands already",
    ),
    "replying to nothing": (nothing, lambda v: remark.reply(v, anna, UNKNOWN, "yes"), "no such open question"),
    "closing nothing": (nothing, lambda v: remark.close_nonconformity(v, lea, UNKNOWN, "done"), "no such open"),
    "the present sheets again": (nothing, lambda v: route.move_to_editions(v, lea, BOOK, "new"), "already worked"),
}


@pytest.mark.parametrize("what", REFUSED)
def test_refused_in_words(what: str) -> None:
    happened, act, words = REFUSED[what]
    assert words in " ".join(refusal(act, here(happened)))


def test_words_that_do_not_fit_are_refused_with_how_many_do() -> None:
    ready = here(fitted)
    (said,) = refusal(lambda v: remark.note(v, anna, "x" * 4001), ready)
    assert said == "Say what is to be noted in at most 4000 characters: that is 4001."
    assert remark.note(ready, anna, "x" * 4000 + " ")
    (said,) = refusal(lambda v: work.fit(v, anna, "Q3", "x" * 121), ready)
    assert "at most 120 characters" in said
