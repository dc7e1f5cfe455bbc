"""Tell a scanner that plays a keyboard from a person who types.

Two ways, both fed with one key at a time and the moment at which it came:

- *Frame*: a scanner set up for this workshop sends STX (Ctrl+B) first. From then on every character belongs
  to the scan until the end key comes, however slow the line is.
- *Burst*: any other scanner types faster than fingers can. Printable keys are held back while they come
  quickly; an end key behind enough of them makes a scan, a pause makes them typing, which is handed on.

Who types in a line sees the key at once wherever it can be taken back: a first key that no tag begins with is not
held, and behind a scanner that sends frames no key is. A burst is still known by its end key; its scan then says how
many characters stand in the line already.

Every key is handed on exactly once and in order, or belongs to a scan, or both where the scan says so. The gate has
no clock: whoever feeds it brings the time, in seconds of any clock that never runs backwards.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic, TypeAlias, TypeVar

from traveller.tags.identity import OPENING_LETTERS, looks_like_tag, read_tag

KeyT = TypeVar("KeyT")

STX = "\x02"
ETX = "\x03"
LONGEST_FRAME = 64


@dataclass(frozen=True)
class Pass(Generic[KeyT]):
    """A key that a person pressed: hand it on unchanged."""

    key: KeyT


@dataclass(frozen=True)
class Scan:
    """What a scanner read. It need not be a tag: ``read_tag`` has the sentence for one that is not.

    The first ``typed`` characters were handed on before it was known, and are to be taken out of the line again.
    """

    text: str
    typed: int = 0


Outcome: TypeAlias = Pass[KeyT] | Scan


class ScanGate(Generic[KeyT]):
    """Holds keys back until it is clear whether they are a scan. Not thread-safe."""

    def __init__(self, gap: float = 0.030, quiet: float = 0.040, shortest: int = 6) -> None:
        """Set the pace: ``gap`` is the longest pause inside a burst, s; ``quiet`` the pause that ends it, s
        (not below ``gap``); ``shortest`` the fewest characters that an end key turns into a scan.
        """
        self._gap = gap
        self._quiet = max(gap, quiet)
        self._shortest = shortest
        self._held: list[tuple[KeyT, str]] = []
        self._typed = ""  # the characters of this burst that were handed on at once
        self._sends_frames = False
        self._last = 0.0
        self._framed = False
        self._scan_ended: float | None = None

    @property
    def holding(self) -> bool:
        """Whether keys are held back at the moment."""
        return bool(self._held)

    @property
    def due(self) -> float | None:
        """When to call ``quiet`` next, on the clock of the keys; None when no timer is needed."""
        return self._last + self._quiet if self._held and not self._framed else None

    def key(
        self,
        key: KeyT,
        character: str | None,
        at: float,
        ends: bool,
        starts: bool = False,
        in_line: bool = False,
    ) -> list[Outcome[KeyT]]:
        """Take one key; return what has become clear by it, in order.

        ``character`` is what the key would type, ``at`` the time in s, ``ends`` is set for Enter, Tab, CR, LF
        (and ETX inside a frame), ``starts`` for STX, ``in_line`` when it is typed where it can be taken back.
        """
        if starts:
            return self._start(key, at)
        if ends:
            return self._end(key, at)
        self._scan_ended = None
        if character is not None and len(character) == 1 and character.isprintable():
            return self._hold(key, character, at, in_line)
        return [*self._release(), Pass(key)]

    def quiet(self, at: float) -> list[Outcome[KeyT]]:
        """Hand on what is held if no key came for long enough; to be called from a timer (see ``due``)."""
        if self.due is not None and at >= self.due:
            return self._release()
        return []

    def _start(self, key: KeyT, at: float) -> list[Outcome[KeyT]]:
        outcomes = self._scan(at) if self._framed and self._text() else self._release()
        self._held = [(key, "")]
        self._last, self._framed, self._scan_ended = at, True, None
        return outcomes

    def _end(self, key: KeyT, at: float) -> list[Outcome[KeyT]]:
        if self._scan_ended is not None and at - self._scan_ended <= self._gap:
            self._scan_ended = at  # the LF of a CR LF pair belongs to the scan
            return []
        self._scan_ended = None
        if self._framed:
            is_scan = self._text() != ""
        else:
            is_scan = len(self._text()) >= self._shortest and at - self._last <= self._quiet
        return self._scan(at) if is_scan else [*self._release(), Pass(key)]

    def _hold(self, key: KeyT, character: str, at: float, in_line: bool) -> list[Outcome[KeyT]]:
        outcomes = self._release() if not self._framed and at - self._last > self._gap else []
        self._last = at
        if in_line and not self._held and (self._sends_frames or self._begins_no_tag(character)):
            self._typed += character
            return [*outcomes, Pass(key)]
        self._held.append((key, character))
        if self._framed and len(self._text()) > LONGEST_FRAME:
            self._framed = False  # the pace decides from here, so that nobody types into the void
        return outcomes

    def _begins_no_tag(self, character: str) -> bool:
        return not self._typed and character.upper() not in OPENING_LETTERS

    def _text(self) -> str:
        return self._typed + "".join(character for _, character in self._held)

    def _scan(self, at: float) -> list[Outcome[KeyT]]:
        scan = Scan(self._text(), len(self._typed))
        self._sends_frames = self._sends_frames or self._framed
        self._held, self._typed, self._framed, self._scan_ended = [], "", False, at
        return [scan]

    def _release(self) -> list[Outcome[KeyT]]:
        held, self._held, self._typed, self._framed = self._held, [], "", False
        return [Pass(key) for key, _ in held]


def read_paste(text: str) -> str | None:
    """The scanned text when a paste is really a scan, else None: then it is a paste like any other.

    Terminals may deliver a fast scanner's characters as bracketed paste. It is a scan when the scanner put
    STX in front, or when the whole text is one tag (then in its one written form). A line end, and ETX, may
    follow.
    """
    line = text.strip(" \t\r\n" + ETX)
    if line.startswith(STX):
        return line.removeprefix(STX) or None
    return read_tag(line).text if looks_like_tag(line) else None
