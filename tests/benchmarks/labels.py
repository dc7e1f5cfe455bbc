"""A thousand labels, against the library of the code alone: the same code of about the same size, written as PNG."""

from __future__ import annotations

import io
import time
from collections.abc import Iterator

from qrcode.constants import ERROR_CORRECT_H
from qrcode.main import QRCode
from qrcode.util import MODE_ALPHA_NUM, QRData

from tests.benchmarks.row import LITTLE, Row, Size, peak_memory, side_by_side
from traveller.tags import TagKind, make_tag, read_tag
from traveller.tags.label import Label, draw_label

AT_ONCE = 10


def tags() -> Iterator[str]:
    return (tag for number in range(1, 1_000_000) if (tag := make_tag(TagKind.UNIT, number)))


def bare(tag: str) -> bytes:
    code = QRCode(version=1, error_correction=ERROR_CORRECT_H, box_size=8, border=4)
    code.add_data(QRData(tag, mode=MODE_ALPHA_NUM))
    code.make(fit=False)
    written = io.BytesIO()
    code.make_image().save(written, format="PNG")
    return written.getvalue()


def ours(tag: str) -> bytes:
    return draw_label(Label(read_tag(tag), "AC drive", "Sandbeck Packaging", ("stored charge",)))


def measure(size: Size) -> list[Row]:
    mine, floors = tags(), tags()
    rounds = size.choose(1, 20, 1_000 // AT_ONCE - LITTLE)
    mine_ms, bare_ms = side_by_side(
        lambda: [ours(next(mine)) for _ in range(AT_ONCE)],
        lambda: [bare(next(floors)) for _ in range(AT_ONCE)],
        rounds,
        time.process_time,
    )
    return [Row("a label", mine_ms / AT_ONCE, bare_ms / AT_ONCE, "ms", 1.3, peak_memory())]
