"""Load and temperatures over time, drawn so that a black-and-white printer can tell the lines apart."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from traveller.documents.letters import BOLD, PLAIN, Letters
from traveller.documents.wording import Words
from traveller.record.heat_runs.curve import RunCurve, Trace

DASHES: tuple[tuple[float, ...], ...] = ((), (5, 2), (1.2, 1.6), (7, 2, 1.2, 2), (3, 1.5), (1, 3))
LIMIT_DASH = (2, 1.5)
HELD, SPREAD = 0.9, 0.68
"""Greys of the hold, and of what lies between the lowest and the highest reading."""
LETTER, LINE = 6.0, 7.2
LEFT, RIGHT, FOOT, TOP, BETWEEN = 11 * mm, 33 * mm, 6.5 * mm, 4.5 * mm, 6.5 * mm
STEPS_OF_TIME = (1, 2, 5, 10, 15, 30, 60, 120, 240, 480, 720, 1440)


Label = tuple[float, str, tuple[float, ...] | None]
"""Height (pt), words, and the dash of its line; None for a limit."""


@dataclass(frozen=True)
class Panel:
    """One field of the drawing: its lower edge and height (pt), and what its scale runs from and to."""

    traces: tuple[Trace, ...]
    title: str
    bottom: float
    height: float
    low: float
    high: float
    step: float

    def y(self, value: float) -> float:
        return self.bottom + self.height * (value - self.low) / (self.high - self.low)


def scale(values: Sequence[float], ticks: int) -> tuple[float, float, float]:
    """(from, to, step): round figures around all values, at most about so many steps."""
    low, high = min(values), max(values)
    rough = max(high - low, abs(high) * 0.02, 1e-6) / ticks
    ten = 10.0 ** math.floor(math.log10(rough))
    step = next(one * ten for one in (1, 2, 2.5, 5, 10) if one * ten >= rough * 0.999)
    start, end = math.floor(low / step) * step, math.ceil(high / step) * step
    return (start, end if end > start else start + step, step)


class RunDrawing(Flowable):  # type: ignore[misc]  # reportlab ships no types
    """The load in a field above, the temperatures in one below, on the same scale of time."""

    def __init__(self, curve: RunCurve, words: Words, letters: Letters, width: float) -> None:
        super().__init__()
        self.curve, self.words, self.letters = curve, words, letters
        self.width, self.height = width, FOOT + TOP + 76 * mm
        self.wide = width - LEFT - RIGHT
        self.minutes = max(curve.minutes, curve.hold[1] if curve.hold else 0.0, 1.0)
        self.panels = tuple(self._panels())

    def _panels(self) -> Iterator[Panel]:
        load, heat = self.curve.load, self.curve.heat
        room = self.height - FOOT - TOP
        lower = (room - BETWEEN) * 0.6 if heat else 0.0
        start = FOOT + lower + (BETWEEN if heat else 0.0)
        yield self._panel((load,), self.words("run.load"), start, FOOT + room - start, (0.0,))
        if heat:
            yield self._panel(heat, "°C", FOOT, lower, ())

    @staticmethod
    def _panel(traces: tuple[Trace, ...], title: str, bottom: float, height: float, more: tuple[float, ...]) -> Panel:
        values = [value for one in traces for point in one.points for value in (point.least, point.most)]
        values += [limit for one in traces for limit in (one.at_least, one.at_most) if limit is not None]
        return Panel(traces, title, bottom, height, *scale([*values, *more], 5))

    def x(self, minute: float) -> float:
        return float(LEFT + self.wide * min(max(minute / self.minutes, 0.0), 1.0))

    # ---- drawing ----------------------------------------------------------------------------------------

    def draw(self) -> None:
        self._shade_hold()
        for panel in self.panels:
            self._border(panel)
            for trace in panel.traces:
                self._spread(panel, trace)
            for number, trace in enumerate(panel.traces):
                self._line(panel, trace, DASHES[number % len(DASHES)])
            self._name_lines(panel)
        self._times()
        self._breaks()

    def _shade_hold(self) -> None:
        if self.curve.hold is None:
            return
        canvas, (since, until) = self.canv, map(self.x, self.curve.hold)
        canvas.setFillGray(HELD)
        for panel in self.panels:
            canvas.rect(since, panel.bottom, until - since, panel.height, stroke=0, fill=1)
        top = self.panels[0]
        self._write((since + until) / 2, top.bottom + top.height + 2, self.words("run.hold"), "middle")

    def _border(self, panel: Panel) -> None:
        canvas = self.canv
        canvas.setStrokeGray(0)
        canvas.setLineWidth(0.4)
        canvas.rect(LEFT, panel.bottom, self.wide, panel.height, fill=0)
        for number in range(round((panel.high - panel.low) / panel.step) + 1):
            value = panel.low + number * panel.step
            canvas.line(LEFT - 2, panel.y(value), LEFT, panel.y(value))
            self._write(LEFT - 3, panel.y(value) - 2, f"{value:g}", "right")
        self._write(0, panel.bottom + panel.height + 5, panel.title, "left", BOLD)

    def _spread(self, panel: Panel, trace: Trace) -> None:
        """From the lowest to the highest reading: a short dip is seen although the mean hides it."""
        canvas = self.canv
        canvas.setFillGray(SPREAD)
        path = canvas.beginPath()
        there = [(self.x(one.minute), panel.y(one.most)) for one in trace.points]
        back = [(self.x(one.minute), panel.y(one.least)) for one in reversed(trace.points)]
        path.moveTo(*there[0])
        for point in (*there[1:], *back):
            path.lineTo(*point)
        path.close()
        canvas.drawPath(path, stroke=0, fill=1)

    def _line(self, panel: Panel, trace: Trace, dash: tuple[float, ...]) -> None:
        canvas = self.canv
        canvas.setStrokeGray(0)
        canvas.setLineWidth(0.9)
        canvas.setDash(*((list(dash),) if dash else ()))
        path = canvas.beginPath()
        for number, one in enumerate(trace.points):
            (path.lineTo if number else path.moveTo)(self.x(one.minute), panel.y(one.mean))
        canvas.drawPath(path, stroke=1, fill=0)
        canvas.setLineWidth(0.5)
        canvas.setDash(list(LIMIT_DASH))
        for limit in (trace.at_least, trace.at_most):
            if limit is not None:
                canvas.line(LEFT, panel.y(limit), LEFT + self.wide, panel.y(limit))
        canvas.setDash()

    def _labels(self, panel: Panel) -> Iterator[Label]:
        """Each line with its last value, and each limit once, whose it is behind it."""
        whose: dict[tuple[float, str], list[str]] = {}
        for number, trace in enumerate(panel.traces):
            name = self.words("run.load_line") if trace.unit == "%" else trace.name
            last = trace.points[-1]
            yield panel.y(last.mean), f"{name} {last.mean:.4g} {trace.unit}", DASHES[number % len(DASHES)]
            for limit, word in ((trace.at_least, "run.at_least"), (trace.at_most, "run.at_most")):
                if limit is not None:
                    said = self.words(word, value=f"{limit:g} {trace.unit}")
                    whose.setdefault((limit, said), []).append(name)
        for (limit, said), names in whose.items():
            more = f": {', '.join(names)}" if len(panel.traces) > 1 else ""
            yield panel.y(limit), f"{said}{more}", None

    def _name_lines(self, panel: Panel) -> None:
        """Beside the ends of the lines: words with a piece of the line's dash, none over another."""
        labels = list(self._labels(panel))
        top = panel.bottom + panel.height
        for (own, said, dash), y in zip(sorted(labels, key=_height), spaced(labels, panel.bottom, top), strict=True):
            x = LEFT + self.wide + 5
            self.canv.setStrokeGray(0)
            self.canv.setLineWidth(0.3)
            self.canv.line(x - 5, own, x, y)
            self.canv.setLineWidth(0.9 if dash is not None else 0.5)
            pattern = LIMIT_DASH if dash is None else dash
            self.canv.setDash(*((list(pattern),) if pattern else ()))
            self.canv.line(x, y, x + 14, y)
            self.canv.setDash()
            self._write(x + 16, y - 2, self._cut(said), "left")

    def _cut(self, said: str) -> str:
        room = RIGHT - 22
        while said and self.canv.stringWidth(self.letters(said), PLAIN, LETTER) > room:
            said = f"{said.rstrip('…')[:-1]}…"
        return said

    def _times(self) -> None:
        canvas, low = self.canv, self.panels[-1]
        step = next((one for one in STEPS_OF_TIME if self.minutes / one <= 10), STEPS_OF_TIME[-1] * 7)
        canvas.setLineWidth(0.4)
        for number in range(int(self.minutes / step) + 1):
            x = self.x(number * step)
            canvas.line(x, low.bottom - 2, x, low.bottom)
            self._write(x, low.bottom - 9, f"{number * step:g}", "middle")
        self._write(LEFT + self.wide, 0, self.words("run.minutes"), "right")

    def _breaks(self) -> None:
        """A small triangle on the upper edge where a hold was broken off."""
        top = self.panels[0]
        self.canv.setFillGray(0)
        for minute in self.curve.again:
            x, y = self.x(minute), top.bottom + top.height
            path = self.canv.beginPath()
            path.moveTo(x, y)
            path.lineTo(x - 2.2, y + 4)
            path.lineTo(x + 2.2, y + 4)
            path.close()
            self.canv.drawPath(path, stroke=0, fill=1)

    def _write(self, x: float, y: float, text: str, side: str, font: str = PLAIN) -> None:
        canvas = self.canv
        canvas.setFillGray(0)
        canvas.setFont(font, LETTER)
        ways: dict[str, Callable[[float, float, str], object]] = {
            "left": canvas.drawString,
            "right": canvas.drawRightString,
            "middle": canvas.drawCentredString,
        }
        ways[side](x, y, self.letters(text))


def _height(label: Label) -> float:
    return label[0]


def spaced(labels: Sequence[Label], low: float, high: float, line: float = LINE) -> list[float]:
    """The heights of the labels from below, a line apart, each as near to its own as that allows."""
    placed: list[float] = []
    for label in sorted(labels, key=_height):
        placed.append(max(label[0], placed[-1] + line if placed else low))
    ceiling = max(high, low + line * (len(placed) - 1))
    for at in range(len(placed) - 1, -1, -1):
        placed[at] = min(placed[at], ceiling)
        ceiling = placed[at] - line
    return placed
