"""The letters of the papers: one free font in two weights, for Latin, Greek and Cyrillic."""

from __future__ import annotations

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from traveller.letters import fitted, in_words
from traveller.shipped import shipped_folder

PLAIN, BOLD = "Plain", "Bold"
_FILES = {PLAIN: "DejaVuSansCondensed.ttf", BOLD: "DejaVuSansCondensed-Bold.ttf"}


def load_fonts() -> None:
    """Make both weights known to reportlab, once."""
    for name, file in _FILES.items():
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, str(shipped_folder("fonts") / file)))
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)


class Letters:
    """Hands on text as it can be printed, and keeps what could not be."""

    def __init__(self) -> None:
        load_fonts()
        self._known = pdfmetrics.getFont(PLAIN).face.charToGlyph
        self._missing: dict[str, None] = {}

    def __call__(self, text: str) -> str:
        shown, lacking = fitted(text, lambda one: ord(one) in self._known)
        self._missing |= dict.fromkeys(lacking)
        return shown

    @property
    def missing(self) -> tuple[str, ...]:
        """Each character that could not be printed, in words."""
        return tuple(map(in_words, self._missing))
