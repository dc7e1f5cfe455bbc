"""What a person may go on doing while the database is away: each deed as data, to be done later.

A deed is done by the same rules as ever, on what then is. What others did to the unit in between may ask for the
person's word first: see `afterwards`.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from traveller.record.acts.deeds.answering import Answering
from traveller.record.acts.deeds.heat_run import SettlingFault, TakingReadings
from traveller.record.acts.deeds.looking import CountingJoints, Investigating, TakingPhotos, TakingThermalPicture
from traveller.record.acts.deeds.measuring import (
    CountingRuns,
    MeasuringSiblings,
    RunsIntoFindings,
    SiblingsIntoFindings,
    TakingBackRun,
    TakingTrace,
)
from traveller.record.acts.deeds.remarks import (
    Asking,
    ClearingHazard,
    Noting,
    RaisingHazard,
    Replying,
    SeeingNote,
)
from traveller.record.acts.deeds.shop import (
    AskingAboutItem,
    AskingShop,
    NotingToShop,
    ReplyingAboutItem,
    ReplyingToShop,
    SeeingShopNote,
)
from traveller.record.acts.deeds.way import Holding, Packing, Placing, Resuming
from traveller.record.acts.deeds.working import (
    AddingParts,
    Baking,
    ClosingBag,
    Fitting,
    ListingParts,
    OpeningBag,
    Planning,
    Rejecting,
    Striking,
    Verifying,
    WorkingOut,
)

OnUnit = (
    Answering
    | Noting
    | Asking
    | Replying
    | SeeingNote
    | RaisingHazard
    | ClearingHazard
    | Holding
    | Resuming
    | Placing
    | Packing
    | Planning
    | Fitting
    | Verifying
    | Rejecting
    | Striking
    | WorkingOut
    | ListingParts
    | AddingParts
    | OpeningBag
    | ClosingBag
    | Baking
    | MeasuringSiblings
    | SiblingsIntoFindings
    | TakingTrace
    | CountingRuns
    | TakingBackRun
    | RunsIntoFindings
    | TakingPhotos
    | TakingThermalPicture
    | CountingJoints
    | Investigating
    | TakingReadings
    | SettlingFault
)
ForShop = NotingToShop | SeeingShopNote | AskingShop | ReplyingToShop | AskingAboutItem | ReplyingAboutItem
AnyDeed = Annotated[OnUnit | ForShop, Field(discriminator="deed")]
