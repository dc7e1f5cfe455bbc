"""The QR code of a tag, as dark and light modules and as text for the terminal, that of a link, and the code that
proves a paper.

A tag's is QR version 1 (21 x 21 modules), alphanumeric, error correction level H, which mends about 30 % of the code
words (ISO/IEC 18004): a label on an overhauled drive gets greasy.
"""

from __future__ import annotations

from traveller.tags.identity import Tag

QUIET_ZONE = 4
"""Light modules that must surround the code on each side (ISO/IEC 18004)."""

_HALF_BLOCKS = {(False, False): " ", (True, False): "▀", (False, True): "▄", (True, True): "█"}


def qr_matrix(tag: Tag) -> tuple[tuple[bool, ...], ...]:
    """The modules of the code, row by row, True for dark, without the quiet zone."""
    from qrcode.constants import ERROR_CORRECT_H
    from qrcode.main import QRCode
    from qrcode.util import MODE_ALPHA_NUM, QRData

    code = QRCode(version=1, error_correction=ERROR_CORRECT_H, border=0)
    code.add_data(QRData(tag.text, mode=MODE_ALPHA_NUM))
    code.make(fit=False)
    return tuple(tuple(bool(module) for module in row) for row in code.get_matrix())


def seal_matrix(tag: Tag, seal: str) -> tuple[tuple[bool, ...], ...]:
    """The modules of the code that proves a paper: the tag, a blank, the seal in capital hexadecimal digits.

    Error correction level Q, which mends about 25 %; the version is the smallest that holds it.
    """
    from qrcode.constants import ERROR_CORRECT_Q
    from qrcode.main import QRCode
    from qrcode.util import MODE_ALPHA_NUM, QRData

    code = QRCode(error_correction=ERROR_CORRECT_Q, border=0)
    code.add_data(QRData(f"{tag.text} {seal.upper()}", mode=MODE_ALPHA_NUM))
    code.make(fit=True)
    return tuple(tuple(bool(module) for module in row) for row in code.get_matrix())


def qr_text(tag: Tag) -> list[str]:
    """The code in half blocks, two modules above each other per character, quiet zone included.

    The blocks are the dark modules: show the lines in black on white, also on a dark terminal.
    """
    return _half_blocks(qr_matrix(tag))


def link_text(link: str) -> list[str]:
    """The code of a link in the same way, for the camera of a tablet. Error correction level L: a screen is clean."""
    from qrcode.constants import ERROR_CORRECT_L
    from qrcode.main import QRCode

    code = QRCode(error_correction=ERROR_CORRECT_L, border=0)
    code.add_data(link)
    code.make(fit=True)
    return _half_blocks(tuple(tuple(bool(module) for module in row) for row in code.get_matrix()))


def _half_blocks(matrix: tuple[tuple[bool, ...], ...]) -> list[str]:
    rows = _with_quiet_zone(matrix)
    if len(rows) % 2:
        rows.append((False,) * len(rows[0]))
    return [
        "".join(_HALF_BLOCKS[pair] for pair in zip(upper, lower, strict=True))
        for upper, lower in zip(rows[::2], rows[1::2], strict=True)
    ]


def _with_quiet_zone(matrix: tuple[tuple[bool, ...], ...]) -> list[tuple[bool, ...]]:
    side = (False,) * QUIET_ZONE
    blank = [(False,) * (len(matrix) + 2 * QUIET_ZONE)] * QUIET_ZONE
    return [*blank, *(side + row + side for row in matrix), *blank]
