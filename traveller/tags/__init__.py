"""Tags: what everything that can be scanned is called by.

This door has only the pure part: the form of a tag and the scan gate. Drawing is in ``traveller.tags.code``
and ``traveller.tags.label``, whose libraries load when something is drawn.
"""

from traveller.tags.identity import (
    MistypedTag,
    Tag,
    TagKind,
    check_character,
    describe_difference,
    is_instrument,
    looks_like_tag,
    make_tag,
    next_tag,
    read_tag,
)
from traveller.tags.scan import Outcome, Pass, Scan, ScanGate, read_paste

__all__ = [
    "MistypedTag",
    "Outcome",
    "Pass",
    "Scan",
    "ScanGate",
    "Tag",
    "TagKind",
    "check_character",
    "describe_difference",
    "is_instrument",
    "looks_like_tag",
    "make_tag",
    "next_tag",
    "read_paste",
    "read_tag",
]
