"""Packing: typed once it answers what dispatch asks, and no unit that is open is packed."""

from __future__ import annotations

import io
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image

from tests.documents.papers import words_of
from tests.small_shop import PIN, SEEN, WAY, SmallShop, lay_sheets, opened
from traveller.errors import InputError, Refused
from traveller.record.carriage import read_addressee, read_customs, read_packages
from traveller.record.carriage_entries import CustomsLine, Package, Packed

ASKED = ("bagged", "packing", "wood_marked", "weight", "chargeable_weight", "customs", "carrier")
KEPT = "\n".join(f'# key = "{key}"' for key in ASKED)
"""The shipped checks of these keys, as they are."""
WARRANTED = '# key = "seen_before"\n# key = "warranty"\n'
BOX = Package(length_cm=50, width_cm=50, height_cm=50, weight_kg=20)
LINE = CustomsLine(
    description="drive, repaired",
    tariff="8504.40",
    origin="DE",
    goods_value=Decimal("1200.00"),
    repair_value=Decimal("350.50"),
    currency="EUR",
)
TEN_LINES = tuple(f"line {number} of the address" for number in range(1, 11))


@pytest.fixture(name="bench")
def _bench(database_url: str, tmp_path: Path) -> Iterator[tuple[SmallShop, str, str]]:
    """The shop with the shipped checks of packing, a unit that stands at dispatch, and the tag of a scale."""
    shop = opened(database_url, tmp_path)
    sheets = lay_sheets(tmp_path / "packing", dispatch=KEPT, goods_in=SEEN + WARRANTED)
    shop = shop.at(shop.terminal("dispatch", sheets))
    scale = shop.workshop.registry.register_instrument("scale 1", "scale", date(2090, 1, 1), shop.lead)
    tag = shop.booked()
    shop.answer(tag, "goods_in.seen_before", "first time")
    for check, text in list(WAY.items())[:5]:
        shop.answer(tag, check, text)
        shop.workshop.move_on(tag, shop.who(check))
    yield shop, tag, scale
    shop.workshop.close()


def packed(tag: str, **changed: object) -> Packed:
    whole: dict[str, object] = {
        "scanned": tag,
        "packages": (BOX,),
        "packed_in": "foam and carton",
        "shielded": True,
        "wood": "no raw wood",
        "addressee": ("Sandbeck Packaging", "Mill Lane 4"),
        "carrier": "Holt Freight",
        "consignment": "77-1204",
    }
    return Packed.model_validate({**whole, **changed})


def test_what_is_typed_once_answers_every_check_that_asks_the_same(bench: tuple[SmallShop, str, str]) -> None:
    """50 × 50 × 50 cm and 20 kg are charged as 25 kg, divisor 5000 (published by a carrier's customer page)."""
    shop, tag, scale = bench
    view = shop.workshop.papers.pack(tag, shop.clerk, packed(tag), [scale])
    states = {one.check.key: str(one.state) for one in view.standings("dispatch")}
    assert states.pop("customs") == states.pop("wood_marked", "not applicable") == "not applicable"
    assert set(states.values()) == {"pass"}, states
    assert view.reasons == []
    finding = view.unit.answers["dispatch.chargeable_weight"][0].finding
    assert finding
    charged = {one.name: one.value for one in finding.values}
    assert charged["chargeable_kg"] == 25
    assert view.unit.packed is not None
    kept = view.unit.packed.body
    assert isinstance(kept, Packed)
    assert {one.name: one.value for one in kept.charged[0].values} == charged


def test_a_crate_for_abroad_asks_for_its_wood_and_its_customs_lines(bench: tuple[SmallShop, str, str]) -> None:
    shop, tag, scale = bench
    crate = {"packed_in": "crate", "wood": "heat-treated and marked", "abroad": True}
    with pytest.raises(Refused, match="at least one customs line"):
        shop.workshop.papers.pack(tag, shop.clerk, packed(tag, **crate), [scale])
    view = shop.workshop.papers.pack(tag, shop.clerk, packed(tag, **crate, customs=(LINE,)), [scale])
    states = {one.check.key: str(one.state) for one in view.standings("dispatch")}
    assert set(states.values()) == {"pass"}
    assert {"wood_marked", "customs"} <= set(states)


def test_a_unit_that_was_reopened_a_second_ago_is_not_packed(bench: tuple[SmallShop, str, str]) -> None:
    shop, tag, scale = bench
    shop.workshop.papers.pack(tag, shop.clerk, packed(tag), [scale])
    shop.workshop.send_back(tag, "inspection", shop.lead, "scratch seen while packing")
    with pytest.raises(Refused, match=r"stands at Inspection, not at Dispatch"):
        shop.workshop.papers.pack(tag, shop.clerk, packed(tag), [scale])
    assert shop.workshop.unit(tag).unit.packed is None
    assert "packing-list.pdf" not in shop.workshop.papers.all(tag)


def test_the_wrong_unit_in_hand_is_refused(bench: tuple[SmallShop, str, str]) -> None:
    shop, tag, scale = bench
    other = shop.booked()
    with pytest.raises(Refused, match=f"tag in hand is {other}, the papers are for {tag}"):
        shop.workshop.papers.pack(tag, shop.clerk, packed(other), [scale])
    with pytest.raises(InputError, match="is not a tag"):
        shop.workshop.papers.pack(tag, shop.clerk, packed("carton"), [scale])


def test_only_a_clerk_or_a_lead_packs_and_a_scale_is_named(bench: tuple[SmallShop, str, str]) -> None:
    shop, tag, scale = bench
    with pytest.raises(Refused, match="may not pack a unit"):
        shop.workshop.papers.pack(tag, shop.technician, packed(tag), [scale])
    with pytest.raises(Refused, match="Which scale"):
        shop.workshop.papers.pack(tag, shop.clerk, packed(tag), [])


def test_a_hazard_keeps_the_unit_out_of_the_carton(bench: tuple[SmallShop, str, str]) -> None:
    from traveller.vocabulary import HazardKind

    shop, tag, scale = bench
    shop.workshop.raise_hazard(tag, HazardKind.HOT, shop.clerk, "heat sink")
    with pytest.raises(Refused, match="hazard: hot"):
        shop.workshop.papers.pack(tag, shop.clerk, packed(tag), [scale])


def test_all_papers_of_a_released_unit(bench: tuple[SmallShop, str, str]) -> None:
    shop, tag, scale = bench
    boxes = (BOX, replace_weight(BOX, 31.5))
    whole = packed(tag, packages=boxes, abroad=True, customs=(LINE,), addressee=TEN_LINES)
    shop.workshop.papers.pack(tag, shop.clerk, whole, [scale])
    assert "DRAFT" in words_of(shop.workshop.papers.all(tag)["packing-list.pdf"].data)
    shop.answer(tag, "dispatch.chargeable_weight", "length_cm=50 width_cm=50 height_cm=100")
    shop.workshop.release(tag, shop.clerk, PIN, "repaired and proved")
    made = shop.workshop.papers.all(tag)
    assert list(made) == [
        "report.pdf",
        "warranty.pdf",
        "packing-list.pdf",
        "customs.pdf",
        "address-1.png",
        "address-2.png",
    ]
    listed = words_of(made["packing-list.pdf"].data)
    for wanted in (*TEN_LINES, "Holt Freight", "77-1204", "1 / 2", "2 / 2", "50 × 50 × 50", "25.00", "31.50"):
        assert wanted in listed, wanted
    customs = words_of(made["customs.pdf"].data)
    for wanted in ("8504.40", "1,200.00", "350.50", "not a sale", "51.5 kg"):
        assert wanted in customs, wanted
    assert "up to and including 2032-03-03" in words_of(made["warranty.pdf"].data)
    for name in ("address-1.png", "address-2.png"):
        assert tag in {one.text for one in zxingcpp.read_barcodes(Image.open(io.BytesIO(made[name].data)))}


def replace_weight(package: Package, kilograms: float) -> Package:
    return package.model_copy(update={"weight_kg": kilograms})


def test_a_release_and_a_packing_of_the_same_moment(bench: tuple[SmallShop, str, str]) -> None:
    """The second of two clerks is told who was first and that the traveller is sealed."""
    shop, tag, scale = bench
    shop.workshop.papers.pack(tag, shop.clerk, packed(tag), [scale])
    shop.workshop.release(tag, shop.clerk, PIN, "repaired and proved")
    with pytest.raises(Refused, match=r"released on .* sealed"):
        shop.workshop.papers.pack(tag, shop.lead, packed(tag), [scale])
    with pytest.raises(Refused, match=r"released on .* sealed"):
        shop.workshop.release(tag, shop.lead, PIN, "repaired and proved")


# ---- as it is typed -----------------------------------------------------------------------------------------


def test_packages_as_typed() -> None:
    assert read_packages("50x50x50 20; 50×50×50 20 kg") == (BOX, BOX)
    for wrong in ("50x50 20", "50x50x50", "a x b", "0x1x1 2", "50x50x50 -1"):
        with pytest.raises(InputError):
            read_packages(wrong)


def test_customs_lines_as_typed() -> None:
    assert read_customs("drive, repaired | 8504.40 | de | 1200,00 | 350.50 | eur") == (LINE,)
    assert read_customs("  ") == ()
    for wrong in ("drive | 8504.40 | DE | 1 | 2", "drive | x | DE | 1 | 2 | EUR", "d | 8504 | Germany | 1 | 2 | EUR"):
        with pytest.raises(InputError):
            read_customs(wrong)


def test_an_address_has_up_to_ten_lines_in_any_script() -> None:
    assert read_addressee("; ".join(TEN_LINES)) == TEN_LINES
    assert read_addressee("Zelenka\nHorní Lesná;;株式会社") == ("Zelenka", "Horní Lesná", "株式会社")
