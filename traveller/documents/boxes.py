"""Two columns, a frame, a line: what a page is put together from besides tables."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable, HRFlowable, Table
from reportlab.platypus.tables import TableStyle

BARE = TableStyle(
    [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 0),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
    ]
)
_BOX = TableStyle(
    [
        ("BOX", (0, 0), (-1, -1), 0.9, (0, 0, 0)),
        ("LEFTPADDING", (0, 0), (-1, -1), 6),
        ("RIGHTPADDING", (0, 0), (-1, -1), 6),
        ("TOPPADDING", (0, 0), (-1, -1), 1.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
    ]
)


def beside(left: list[Flowable], right: list[Flowable], left_wide: float, right_wide: float) -> Flowable:
    """Two columns of these widths."""
    table = Table([[left, right]], colWidths=[left_wide, right_wide])
    table.setStyle(BARE)
    return table


def boxed(lines: Sequence[Flowable], width: float) -> Flowable:
    """Lines in a frame."""
    table = Table([[line] for line in lines], colWidths=[width])
    table.setStyle(_BOX)
    return table


def rule() -> Flowable:
    """A line over the whole width."""
    return HRFlowable(width="100%", thickness=0.8, color=(0, 0, 0), spaceBefore=3, spaceAfter=3)
