"""Every command line of README and docs as words, and the shop that the lines of a page are typed in."""

from __future__ import annotations

import io
import re
import shlex
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from itertools import dropwhile
from pathlib import Path
from shutil import copytree

from PIL import Image

from tests.small_shop import PLATE
from tests.store import heat_shop
from tests.store.heat_shop import HeatShop
from traveller.store.workshop import Workshop
from traveller.vocabulary import HazardKind, Role

HERE = Path(__file__).parents[2]
PAGES = sorted([HERE / "README.md", HERE / "DEVELOPERS.md", *(HERE / "docs").glob("**/*.md")])
FENCE = re.compile(r"^```(?P<kind>\w+)\n(?P<text>.*?)^```", re.DOTALL | re.MULTILINE)
SETS_VARIABLE = re.compile(r"[A-Z_]+=")
MORE = """
[[check]]
key = "ripple"
ask = "Ripple at full load"
kind = "reading"
unit = "V"
plausible = [0, 10]
required = false

[[check]]
key = "substitute"
ask = "Is the other part at least as good?"
kind = "calculation"
judge = "substitute.substitute"
required = false

[[check]]
key = "floor_life"
ask = "How long out of the bag?"
kind = "calculation"
judge = "moisture.floor_life"
required = false
"""
CARRIED = """
[[check]]
key = "chargeable_weight"
ask = "Outside measures: what will the carrier charge?"
kind = "calculation"
judge = "weight.chargeable_weight"
required = false
"""
MEASURED = "".join(
    f"""
[[check]]
key = "{key}"
ask = "{key}"
kind = "calculation"
judge = "{judge}"
required = false
"""
    for key, judge in {
        "siblings": "siblings.odd_one_out",
        "trace_distance": "signature.signature",
        "clean_runs": "intermittent.runs_needed",
        "runs_made": "intermittent.intermittent",
    }.items()
)
FANS = """
[[check]]
key = "fans"
ask = "Every fan counted?"
kind = "tick"
"""


def fenced(page: Path, kind: str) -> list[str]:
    return [found["text"] for found in FENCE.finditer(page.read_text(encoding="utf-8")) if found["kind"] == kind]


def command_lines() -> Iterator[tuple[str, list[str]]]:
    """Every `traveller ...` of a shell block, as words, with the page it stands on."""
    for page in PAGES:
        for block in fenced(page, "sh"):
            for line in block.replace("\\\n", " ").splitlines():
                for part in line.split("&&"):
                    words = list(dropwhile(SETS_VARIABLE.match, shlex.split(part, comments=True)))
                    if words and words[0].rpartition("/")[2] == "traveller":
                        yield page.name, words[1:]


LINES = list(command_lines())


@dataclass
class Stand:
    """What the lines of one page stand on: a shop, a folder with the files that they name, and which of its tags
    (and other words) is meant by the ones that are printed in the docs."""

    shop: HeatShop
    folder: Path
    meant: dict[str, str] = field(default_factory=dict)

    def booked(self, serial: str = "A1") -> str:
        return self.shop.workshop.book_in(self.shop.lead, PLATE.model_copy(update={"serial": serial})).unit.tag

    def ready(self, serial: str = "A1") -> str:
        """A unit at dispatch that nothing keeps any more."""
        tag = self.shop.at_load_test(serial)
        self.shop.workshop.decide(tag, self.shop.lead, "scrap", "beyond repair", "Ms Thorne, by mail")
        self.shop.workshop.move_on(tag, self.shop.lead)
        return tag

    def picture(self, name: str) -> None:
        buffer = io.BytesIO()
        Image.new("RGB", (8, 8)).save(buffer, "JPEG")
        (self.folder / name).write_bytes(buffer.getvalue())


def administrator(stand: Stand) -> None:
    stand.meant |= {"U0000113": stand.booked(), "/backup/tuesday.backup": "tuesday.backup"}


def dispatch_clerk(stand: Stand) -> None:
    stand.meant |= {"U0000113": stand.ready()}


def figures(stand: Stand) -> None:
    first = stand.ready()
    stand.shop.workshop.release(first, stand.shop.lead, "2468", "scrapped")
    stand.meant |= {"U0000113": first, "U0000127": stand.booked()}


def handover(stand: Stand) -> None:
    for serial in ("A1", "A2", "A3"):
        tag = stand.booked(serial)
        stand.shop.workshop.raise_hazard(tag, HazardKind.HOT, stand.shop.lead, "heatsink")
    stand.meant |= {"12": "1", "13": "2", "14": "3"}


def incoming_shift(stand: Stand) -> None:
    stand.meant |= {"U0000113": stand.booked()}


def lead(stand: Stand) -> None:
    stand.meant |= {
        "U0000113": stand.shop.at_load_test(),
        "P000005A": stand.shop.workshop.registry.enrol("Rosa Lindgren", [Role.TECHNICIAN], "2468", by=stand.shop.lead),
    }


def load_run(stand: Stand) -> None:
    tag = stand.shop.at_load_test()
    stand.shop.ready(tag)
    start = datetime.now(UTC).replace(microsecond=0)
    rows = [f"{start.isoformat()},31.{n},30.{n},31.{n},58,23" for n in range(3)]
    text = "\n".join(["Timestamp,CH1,CH2,CH3,heatsink,ambient", *rows])
    (stand.folder / "logger.csv").write_text(text + "\n")
    stand.meant |= {"U0000017": tag, "M000002U": stand.shop.thermometer}
    stand.meant["14:30"] = f"{start.date() + timedelta(days=1)} 14:30"


def papers(stand: Stand) -> None:
    scale = stand.shop.workshop.registry.register_instrument("Scale", "scale", date(2090, 1, 1), stand.shop.lead)
    released = stand.ready()
    stand.shop.workshop.release(released, stand.shop.lead, "2468", "scrapped")
    stand.meant |= {"U0000113": released, "U0000121": stand.ready("A2"), "M000017G": scale}


def station_sheets(stand: Stand) -> None:
    stand.meant |= {"U0000113": stand.booked()}
    (stand.folder / "try").mkdir()
    changed = Path(copytree(stand.shop.sheets, stand.folder / "sheets"))
    with (changed / "inspection" / "station.toml").open("a", encoding="utf-8") as sheet:
        sheet.write(FANS)
    stand.shop = replace(stand.shop, sheets=changed)


def technician(stand: Stand) -> None:
    shop, folder = stand.shop, stand.folder
    tag, earlier = stand.booked(), stand.booked("A2")
    listed = "Q3;IGBT;;1200 V\nC17;electrolytic;470 µF;450 V\nU3,U4;optocoupler;;\n"
    (folder / "board.csv").write_text(f"Pos;Bauart;value;rating\n{listed}", encoding="utf-8")
    (folder / "earlier.csv").write_text(f"reference;kind;value;rating\n{listed}", encoding="utf-8")
    shop.workshop.parts.import_list(earlier, str(folder / "earlier.csv"), shop.lead)
    shop.workshop.plan_work(tag, shop.lead, ["C17"], "electrolytic 470 µF 450 V", "aged")
    shop.workshop.plan_work(tag, shop.lead, ["Q3"], "IGBT 1200 V", "failed")
    stand.picture("IMG_0412.jpg")
    for name, amps in (("suspect.csv", 3.0), ("good.csv", 1.0)):
        (folder / name).write_text("V,A\n" + "".join(f"{n / 10},{amps * n / 1000}\n" for n in range(-20, 21)))
    (folder / "runs.txt").write_text("ok\nok\nfail\n")
    measured = stand.booked("A3")
    shop.workshop.answer(measured, "goods_in.seen", "y", shop.lead)
    shop.workshop.move_on(measured, shop.lead)
    stand.meant |= {"U0000113": tag, "U000001J": measured, "U0000105": earlier}


STANDS: dict[str, Callable[[Stand], None]] = {
    "administrator.md": administrator,
    "dispatch-clerk.md": dispatch_clerk,
    "figures.md": figures,
    "handover.md": handover,
    "incoming-shift.md": incoming_shift,
    "lead.md": lead,
    "load-run.md": load_run,
    "papers.md": papers,
    "station-sheets.md": station_sheets,
    "technician.md": technician,
}


def base_shop(folder: Path) -> HeatShop:
    """The shop that every page begins with, closed: one check at each station, but the load test as it is shipped."""
    shop = heat_shop.opened(
        str(folder / "base.sqlite"), folder, diagnosis=MEASURED, component_work=MORE, dispatch=CARRIED
    )
    shop.workshop.close()
    return shop


def stand_for(page: str, base: HeatShop, folder: Path) -> Stand:
    """A copy of the base shop, prepared for the lines of this page; its workshop is closed again."""
    url = str(folder / "workshop.sqlite")
    Path(url).write_bytes(Path(base.url).read_bytes())
    workshop = Workshop.open(url, terminal="rig room", overlay=base.sheets)
    stand = Stand(replace(base, url=url, workshop=workshop), folder)
    stand.meant = {"P000002G": base.lead, "P000003E": base.tester, "R000001L": base.rig, "M000001W": base.analyser}
    if page in STANDS:
        STANDS[page](stand)
    workshop.close()
    return stand
