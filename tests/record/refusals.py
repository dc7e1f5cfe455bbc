"""Asks an act and hands back the sentences with which it is refused."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import pytest

from tests.record.shop_floor import ANNA, BEN, IDA, LEA, PEOPLE, Traveller, ready_for_work
from traveller.errors import Refused, TravellerError
from traveller.record.acts.rights import Proposed
from traveller.record.view import UnitView

Act = Callable[[UnitView], Sequence[Proposed]]

anna, ben, ida, lea = (PEOPLE[tag] for tag in (ANNA, BEN, IDA, LEA))
gone = replace(anna, left=True)


def refusal(act: Act, seen: UnitView) -> tuple[str, ...]:
    with pytest.raises(TravellerError) as caught:
        act(seen)
    said = caught.value.reasons if isinstance(caught.value, Refused) else tuple(str(caught.value).splitlines())
    assert said
    for sentence in said:
        assert len(sentence.split()) > 2, sentence
    return said


def here(happened: Callable[[Traveller], object], traveller: Traveller | None = None) -> UnitView:
    traveller = traveller or ready_for_work()
    happened(traveller)
    return traveller.view
