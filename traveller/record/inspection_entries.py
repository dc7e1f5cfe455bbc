"""The kind of entry about joints that were looked at and counted."""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

from pydantic import Field

from traveller.vocabulary import Plain, Short, UnitKind


class JointClass(StrEnum):
    """Kinds of joint and workmanship, by the topics of the sections of IPC-A-610 (from memory), in trade words."""

    THROUGH_HOLE = "through-hole"
    CHIP = "surface-mount chip"
    GULL_WING = "gull wing"
    AREA_ARRAY = "area array"
    WIRE = "terminal and wire"
    PRESS_FIT = "press-fit"
    HARDWARE = "hardware"
    COATING = "coating"


How = Literal["by eye", "by X-ray", "not to be seen", "none on this unit"]
COUNTED: tuple[How, ...] = ("by eye", "by X-ray")


class DefectSeen(Plain):
    """One defect: its place on the board, and what it is (bridge, void, cold, lifted)."""

    place: Short
    what: Short


class JointsSeen(Plain):
    """One class of joints of a unit, looked at: out of so many chances for a defect, these defects.

    Counted before anything is put right. `how` "not to be seen" is for joints under a part without X-ray.
    """

    kind: Literal["joints seen"] = "joints seen"
    joint_class: JointClass
    how: How = "by eye"
    opportunities: int = Field(default=0, ge=0, le=10**6)
    defects: tuple[DefectSeen, ...] = ()


DRIVES = (UnitKind.AC_DRIVE, UnitKind.DC_DRIVE, UnitKind.SERVO_DRIVE, UnitKind.POWER_SUPPLY)


def classes_of(kind: UnitKind) -> tuple[JointClass, ...]:
    """The classes to look for on a unit of this kind (common practice); each is seen, or said not to be there."""
    on_boards = tuple(one for one in JointClass if one is not JointClass.HARDWARE)
    return tuple(JointClass) if kind in (*DRIVES, UnitKind.OPERATOR_PANEL) else on_boards
