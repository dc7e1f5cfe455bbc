"""Every page, sheet and main state of the terminal, and the way to it in the demo workshop.

A test lays this list against the classes of the screens: a new page that is not in it is found.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from still import CLERK, INSPECTOR, LEAD, LOAD_TESTER, Shot

CAMERA_FILE = "power-stage.csv"
"""A picture of the demo's thermal camera, laid into the terminal's folder."""


class Shop(StrEnum):
    """Which database a scene plays on."""

    DEMO = "the demo workshop"
    EMPTY = "nobody works there yet"
    AWAY = "the demo workshop, which cannot be reached once the unit is open"


@dataclass(frozen=True)
class Scene:
    """`page` is the class that lies on top when the picture is taken."""

    name: str
    says: str
    page: str
    shot: Shot = field(default_factory=Shot)
    shop: Shop = Shop.DEMO


def _unit(unit: str, *steps: str, person: str = "", station: str = "component_work") -> Shot:
    return Shot(person or Shot.person, station, unit, steps)


SCENES = (
    Scene("sign-on", "Nobody is signed on", "SignOn", Shot(person="")),
    Scene("sign-on-empty", "A shop that nobody works in yet", "SignOn", Shot(person=""), Shop.EMPTY),
    Scene("founding", "The first start", "SheetOfFields", Shot(person="", steps=("enter",)), Shop.EMPTY),
    Scene("bench", "What waits at this station", "BenchPage"),
    Scene("station", "Which station this terminal is at", "Choice", Shot(steps=("f6",))),
    Scene("booking", "A unit comes in", "SheetOfFields", Shot(station="goods_in", steps=("f5", "=1", "enter"))),
    Scene("goods-in", "A unit at goods-in, still charged", "UnitPage", _unit("charged", station="goods_in")),
    Scene("diagnosis", "At diagnosis, after a hot spot", "UnitPage", _unit("hot spot", station="diagnosis")),
    Scene("component-work", "At component work, half fitted", "UnitPage", _unit("half fitted")),
    Scene("inspection", "At inspection", "UnitPage", _unit("seen", person=INSPECTOR, station="inspection")),
    Scene(
        "load-test", "At the load test, energised", "UnitPage", _unit("live", person=LOAD_TESTER, station="load_test")
    ),
    Scene("dispatch", "At dispatch", "UnitPage", _unit("packed", person=CLERK, station="dispatch")),
    Scene(
        "typing",
        "An answer being typed, with its working",
        "UnitPage",
        _unit("charged", "down", "=38", station="goods_in"),
    ),
    Scene(
        "calculation", "A check that is worked out", "SheetOfFields", _unit("siblings", "enter", station="diagnosis")
    ),
    Scene("acts", "What can be done to a unit", "Choice", _unit("siblings", "f6", station="diagnosis")),
    Scene("note", "A note", "SheetOfFields", _unit("half fitted", "f6", "n", "=Q3 and Q4 came in one bag")),
    Scene("hazard", "A hazard is raised", "SheetOfFields", _unit("half fitted", "f6", "d")),
    Scene("refused", "Something is refused", "UnitPage", _unit("siblings", "f10", station="diagnosis")),
    Scene("returned", "A unit that was here before", "UnitPage", _unit("returned", station="diagnosis")),
    Scene("work-list", "The work list", "WorkPage", _unit("half fitted", "f7")),
    Scene("work-list-empty", "A work list with nothing on it", "WorkPage", _unit("received", "f7", station="goods_in")),
    Scene("parts", "A parts list comes onto a unit", "Choice", _unit("half fitted", "f7", "i")),
    Scene(
        "working-out",
        "What has to be replaced, worked out",
        "WorkingOutPage",
        _unit("half fitted", "f7", "w", "f", "=U11, U21, C21", "enter"),
    ),
    Scene("bags", "Clocks of moisture-sensitive parts", "BagsPage", _unit("bag open", "f7", "m")),
    Scene(
        "gate-closed", "Why a unit may not leave", "GatePage", _unit("packed", "f8", person=CLERK, station="dispatch")
    ),
    Scene("gate-open", "Nothing keeps the unit", "GatePage", _unit("ready", "f8", person=CLERK, station="dispatch")),
    Scene(
        "release",
        "The signature that lets it leave",
        "SheetOfFields",
        _unit("ready", "f8", "f10", person=CLERK, station="dispatch"),
    ),
    Scene("history", "The traveller, line by line", "HistoryPage", _unit("hot spot", "f9", station="diagnosis")),
    Scene("siblings", "Readings of like devices", "SiblingsPage", _unit("siblings", "f6", "t", station="diagnosis")),
    Scene("siblings-empty", "No siblings measured", "SiblingsPage", _unit("received", "f6", "t", station="goods_in")),
    Scene("traces", "Signature traces", "TracesPage", _unit("traces", "f6", "g", station="diagnosis")),
    Scene("runs", "Runs counted", "RunsPage", _unit("runs", "f6", "k", station="diagnosis")),
    Scene("findings", "Findings and estimate", "FindingsPage", _unit("estimate", "f6", "i", station="diagnosis")),
    Scene(
        "joints", "Joints and defects", "JointsPage", _unit("seen", "f6", "j", person=INSPECTOR, station="inspection")
    ),
    Scene("photos", "Photos of a unit", "PhotosPage", _unit("photos", "f6", "f")),
    Scene("code", "The tag as a code", "CodePage", _unit("half fitted", "f6", "s")),
    Scene("run", "A heat run", "RunPage", _unit("live", "f6", "o", person=LOAD_TESTER, station="load_test")),
    Scene("load-runs", "All load runs", "HeatRunsPage", Shot(LOAD_TESTER, "load_test", steps=("f3", "l"))),
    Scene("rigs", "Rigs and bookings", "RigsPage", Shot(LOAD_TESTER, "load_test", steps=("f3", "r"))),
    Scene(
        "thermal",
        "A thermal picture",
        "ThermalPage",
        _unit("hot spot", "f6", "v", person=LOAD_TESTER, station="load_test"),
    ),
    Scene(
        "marking",
        "Places marked on a thermal picture",
        "MarkingPage",
        _unit(
            "hot spot",
            "f6",
            "v",
            "a",
            f"={CAMERA_FILE}",
            "enter",
            "=26",
            "f10",
            "enter",
            *["right"] * 6,
            *["down"] * 4,
            person=LOAD_TESTER,
            station="load_test",
        ),
    ),
    Scene("floor", "All stations", "FloorPage", Shot(LEAD, "load_test", steps=("f3", "down", "down"))),
    Scene("figures", "Figures of the shop", "FiguresPage", Shot(LEAD, "load_test", steps=("f3", "f"))),
    Scene("find", "A unit is looked for", "FindPage", Shot(steps=("f4", "=brennecke"))),
    Scene("brief", "The brief", "BriefPage", Shot(LEAD, "load_test", steps=("f11",))),
    Scene("handing-over", "What is handed over", "GivingPage", Shot(LEAD, "load_test", steps=("f11", "h"))),
    Scene("accepting", "What is taken over", "TakingPage", Shot(LEAD, "load_test", steps=("f11", "a"))),
    Scene(
        "register",
        "People, instruments, rigs, shelves",
        "RegisterPage",
        Shot(LEAD, steps=("ctrl+p", "=register", "enter")),
    ),
    Scene("calculator", "Every calculation", "CalculatorPage", Shot(steps=("f12",))),
    Scene("calculated", "A calculation being filled in", "SheetOfFields", Shot(steps=("f12", "enter"))),
    Scene(
        "kept",
        "What is kept while the database is away",
        "KeptPage",
        _unit("charged", "down", "=38", "enter", "ctrl+o", station="goods_in"),
        Shop.AWAY,
    ),
    Scene("kept-empty", "Nothing is kept", "KeptPage", Shot(steps=("ctrl+o",))),
    Scene("palette", "The command palette", "Palette", Shot(steps=("ctrl+p",))),
    Scene("help", "Help", "HelpPage", Shot(steps=("f1",))),
)

PAGE_HEAD = """# Every screen

Drawn from the real screens of the demo workshop by `docs/draw_gallery.py`: 80 × 24 on the left, 120 × 40 on the
right; from top to bottom the dark look, the light one, the one with high contrast.

| what | how it looks |
| --- | --- |
"""


def listing() -> str:
    """The page that shows all sheets."""
    shown = (f"| {scene.says} | ![{scene.says}](pictures/screens/{scene.name}.png) |\n" for scene in SCENES)
    return "".join((PAGE_HEAD, *shown))
