"""What an entry is about: two hands on the same thing are told from two hands on the same unit (common practice)."""

from __future__ import annotations

from hypothesis import given

from tests.record.any_entries import any_travellers
from tests.record.shop_floor import Traveller
from traveller.record.entries import Answered, HazardCleared, HazardRaised, Moved, Noted
from traveller.record.matters import WORKED_ON, Matter, minds, touches
from traveller.record.photo_entries import PhotoTaken
from traveller.record.work_entries import WorkFitted
from traveller.vocabulary import HazardKind

FREE = Noted | PhotoTaken | HazardRaised | Moved
"""What takes nothing from anybody, or is asked about by other means."""


@given(traveller=any_travellers())
def test_whoever_does_the_same_again_is_at_the_same_thing(traveller: Traveller) -> None:
    """What a deed minds is touched by an entry like its own, but for work, which only clearing a hazard minds."""
    for entry in traveller.entries:
        known = minds([entry.body])
        assert known - {WORKED_ON} <= touches(entry.body)
        assert bool(known) is not isinstance(entry.body, FREE) or not touches(entry.body)
        if isinstance(entry.body, Answered):
            assert Matter("check", entry.body.check) in known


@given(traveller=any_travellers())
def test_many_entries_mind_what_each_of_them_minds(traveller: Traveller) -> None:
    bodies = [entry.body for entry in traveller.entries]
    assert minds(bodies) == {matter for body in bodies for matter in minds([body])}


def test_a_hazard_is_not_cleared_unseen_after_work_or_when_it_was_raised_anew() -> None:
    known = minds([HazardCleared(hazard=HazardKind.HOT, how="cold")])
    assert known == {Matter("hazard", "hot"), WORKED_ON}
    assert known & touches(WorkFitted(reference="Q3", fitted="transistor"))
    assert known & touches(HazardRaised(hazard=HazardKind.HOT, detail="again"))
    assert not known & touches(HazardRaised(hazard=HazardKind.BATTERY, detail="cell"))
