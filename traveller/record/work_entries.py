"""The kinds of entry about the parts that are replaced."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import StringConstraints

from traveller.judgement import Finding
from traveller.vocabulary import Plain, Short, Words

Reference = Annotated[
    str,
    StringConstraints(strip_whitespace=True, to_upper=True, pattern=r"^[A-Za-z]{1,6}[A-Za-z0-9_.-]{0,15}$"),
]


WorkReason = Literal["failed", "matched set", "aged", "driver check", "other"]
WorkAction = Literal["replace", "check"]


class WorkPlanned(Plain):
    """`because` is the reason in words, with the line of the policy that it comes from.

    A line to check is done when somebody looked and wrote down what was found.
    """

    kind: Literal["work planned"] = "work planned"
    reference: Reference
    part: Short
    reason: WorkReason
    matched_set: str = ""
    because: str = ""
    action: WorkAction = "replace"


class WorkFitted(Plain):
    """For a line to check, `fitted` is what was found. `finding` compares a substitute with the original."""

    kind: Literal["work fitted"] = "work fitted"
    reference: Reference
    fitted: Short
    lot: str = ""
    finding: Finding | None = None


class WorkVerified(Plain):
    kind: Literal["work verified"] = "work verified"
    reference: Reference


class WorkRejected(Plain):
    """The line was seen and is not right; it is planned again."""

    kind: Literal["work rejected"] = "work rejected"
    reference: Reference
    why: Words


class WorkStruck(Plain):
    kind: Literal["work struck"] = "work struck"
    reference: Reference
    why: Words
