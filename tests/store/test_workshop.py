"""Tags, people, releases and the editions of the sheets, as a terminal asks for them."""

from __future__ import annotations

import re
import shutil
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from datetime import UTC, datetime, time
from functools import partial
from pathlib import Path

import pytest
from stdnum.iso7064 import mod_37_2

from tests.paint_shop import COLOUR, STATION, lay
from tests.small_shop import NOW, PHOTO, PIN, PLATE, SEEN, SmallShop, lay_sheets
from traveller.errors import InputError, Refused
from traveller.record.entries import Released
from traveller.record.evidence import State
from traveller.store import journal, sheets_kept
from traveller.store.engine import reading
from traveller.store.workshop import Workshop
from traveller.tags import TagKind
from traveller.vocabulary import Role

# ---- tags -----------------------------------------------------------------------------------------------


def test_a_mistyped_tag_is_told_with_the_character_and_the_tag_that_was_meant(shop: SmallShop) -> None:
    tag = shop.booked()
    wrong = f"{tag[:6]}{(int(tag[6]) + 1) % 10}{tag[7]}"
    for ask in (shop.workshop.thing, shop.workshop.unit, lambda text: shop.workshop.note(text, shop.lead, "x")):
        with pytest.raises(InputError, match=f"In this shop there is {tag} .*character 7 should be {tag[6]}"):
            ask(wrong)


def test_a_letter_where_a_digit_belongs_is_named(shop: SmallShop) -> None:
    with pytest.raises(InputError, match="character 3 is the letter X where a digit must stand"):
        shop.workshop.unit("U0X0001A")


def test_a_tag_is_taken_as_loosely_as_people_write_it_by_every_act(shop: SmallShop) -> None:
    tag = shop.booked()
    loose = f" {tag[:4].lower()} {tag[4:]}"
    assert shop.workshop.unit(loose).unit.tag == tag
    assert shop.workshop.note(loose, shop.lead, "seen").unit.tag == tag
    assert shop.workshop.thing(loose).name == PLATE.model


def test_a_sound_tag_that_nothing_has_is_told(shop: SmallShop) -> None:
    unknown = f"U999990{mod_37_2.calc_check_digit('U999990')}"
    with pytest.raises(InputError, match="sound tag, but no unit of this shop has it"):
        shop.workshop.thing(unknown)
    for ask in (shop.workshop.unit, shop.workshop.verify, lambda text: shop.workshop.note(text, shop.lead, "x")):
        with pytest.raises(Refused, match=f"No unit has the tag {unknown}.*book the unit in"):
            ask(unknown)


def test_a_badge_or_an_instrument_in_place_of_a_unit_is_told_by_its_name(shop: SmallShop) -> None:
    for ask in (shop.workshop.unit, lambda text: shop.workshop.note(text, shop.lead, "x")):
        with pytest.raises(InputError, match=f"{shop.lead} is not the tag of a unit but of Ines Okoro"):
            ask(shop.lead)
        with pytest.raises(InputError, match=f"{shop.voltmeter} is not the tag of a unit but of Voltmeter 1"):
            ask(shop.voltmeter)
    assert shop.workshop.thing(shop.lead).kind is TagKind.PERSON


def test_only_an_instrument_measures_and_only_a_shelf_or_rig_holds_a_unit(shop: SmallShop) -> None:
    tag = shop.booked()
    shop.answer(tag, "goods_in.seen", "y")
    shop.workshop.move_on(tag, shop.technician)
    with pytest.raises(Refused, match=f"{shop.lead} is not an instrument of this shop"):
        shop.workshop.answer(tag, "diagnosis.link", "4", shop.technician, [shop.lead])
    with pytest.raises(Refused, match=f"{shop.voltmeter} is neither a shelf nor a rig"):
        shop.workshop.place(tag, shop.voltmeter, shop.technician)
    shelf = shop.workshop.registry.register_shelf("Shelf 4", shop.lead)
    assert shop.workshop.place(tag, shelf, shop.technician).unit.place == shelf


@pytest.mark.parametrize(("zone", "counts"), [("Europe/Oslo", False), ("Etc/GMT+6", True)])
def test_a_calibration_ends_with_the_day_of_the_shop(shop: SmallShop, zone: str, counts: bool) -> None:
    """Read at 23:30 UTC of the day to which the instrument is calibrated: in Oslo the next day has begun."""
    late = datetime.combine(NOW.date(), time(23, 30), UTC)
    shop.workshop.registry.name_shop("Mill Repairs", zone, shop.lead)
    shop.workshop.registry.register_instrument("Voltmeter 1", "voltmeter", NOW.date(), shop.lead, tag=shop.voltmeter)
    tag = shop.booked()
    shop.answer(tag, "goods_in.seen", "y")
    shop.workshop.move_on(tag, shop.technician)
    with closing(Workshop.open(shop.url, overlay=shop.sheets, clock=lambda: late)) as at_night:
        ask = partial(at_night.answer, tag, "diagnosis.link", by=shop.technician, instruments=[shop.voltmeter])
        first = ask("4")
        corrected = ask("5", corrects=first.entries[-1].id, because="slip of the pen")
    for view in (first, corrected, shop.workshop.unit(tag)):
        (link,) = [one for one in view.standings("diagnosis") if one.check.key == "link"]
        assert link.state.counts is counts


def test_tags_given_at_four_terminals_at_once_never_repeat_and_fit_the_standard(shop: SmallShop) -> None:
    """ISO/IEC 7064 MOD 37-2 as python-stdnum works it; I, O and * are never printed."""
    terminals = [shop.terminal(f"bench {n}") for n in range(4)]

    def book_and_shelve(workshop: Workshop) -> list[str]:
        units = [workshop.book_in(shop.technician, PLATE).unit.tag for _ in range(12)]
        return units + [workshop.registry.register_shelf("Shelf", shop.lead) for _ in range(4)]

    with ThreadPoolExecutor(4) as pool:
        tags = [tag for made in pool.map(book_and_shelve, terminals) for tag in made]
    assert len(set(tags)) == len(tags) == 64
    for tag in tags:
        assert mod_37_2.is_valid(tag)
        assert re.fullmatch(r"[US]\d{6}[0-9A-HJ-NP-Z]", tag)
    for workshop in terminals:
        workshop.close()


# ---- signing on -----------------------------------------------------------------------------------------


def test_a_badge_signs_on_alone_a_name_with_its_pin(shop: SmallShop) -> None:
    assert shop.workshop.sign_on(f" {shop.clerk.lower()} ").name == "Mira Castellan"
    assert shop.workshop.sign_on("mira", PIN).tag == shop.clerk
    for wrong in (None, "", "1357"):
        with pytest.raises(Refused, match="not the PIN of Mira Castellan"):
            shop.workshop.sign_on("Mira", wrong)
    for nobody in ("Zoe", "", shop.voltmeter):
        with pytest.raises(Refused, match="Nobody called"):
            shop.workshop.sign_on(nobody, PIN)


def test_the_start_of_two_names_is_asked_again_and_a_whole_name_is_enough(shop: SmallShop) -> None:
    short = shop.workshop.registry.enrol("Mira", [Role.TECHNICIAN], "1357", by=shop.lead)
    with pytest.raises(Refused, match="Mira, Mira Castellan: type more of the name"):
        shop.workshop.sign_on("Mi", PIN)
    assert shop.workshop.sign_on("mira", "1357").tag == short
    shop.workshop.registry.enrol("Mira", [Role.TECHNICIAN], PIN, by=shop.lead)
    with pytest.raises(Refused, match="2 people are called Mira: scan the badge"):
        shop.workshop.sign_on("Mira", PIN)


def test_who_has_left_neither_signs_on_nor_acts(shop: SmallShop) -> None:
    tag = shop.booked()
    shop.workshop.registry.leave(shop.technician, shop.lead)
    for text in (shop.technician, "Tomasz Reyes"):
        with pytest.raises(Refused, match="Nobody called"):
            shop.workshop.sign_on(text, PIN)
    with pytest.raises(Refused, match="works nowhere"):
        shop.workshop.note(tag, shop.technician, "still here")


def test_the_first_person_needs_no_lead_and_every_later_one_does(database_url: str) -> None:
    workshop = Workshop.open(database_url)
    with pytest.raises(Refused, match="first person of a shop has to be a shift lead"):
        workshop.registry.enrol("Ben", [Role.TECHNICIAN], PIN)
    lead = workshop.registry.enrol("Ada", [Role.LEAD], PIN)
    with pytest.raises(Refused, match="works nowhere"):
        workshop.registry.enrol("Cas", [Role.TECHNICIAN], PIN)
    worker = workshop.registry.enrol("Ben", [Role.TECHNICIAN], PIN, by=lead)
    with pytest.raises(Refused, match="shift lead"):
        workshop.registry.enrol("Cas", [Role.TECHNICIAN], PIN, by=worker)
    with pytest.raises(InputError, match="PIN has 4 to 12 digits"):
        workshop.registry.enrol("Cas", [Role.TECHNICIAN], "12", by=lead)
    with pytest.raises(Refused, match="Ada is the only shift lead"):
        workshop.registry.leave(lead, lead)
    with pytest.raises(Refused, match="not a person of this shop"):
        workshop.registry.set_pin("P000099X", PIN, lead)
    with pytest.raises(InputError, match="name"):
        workshop.registry.enrol("  ", [Role.TECHNICIAN], PIN, by=lead)
    assert [one.name for one in workshop.shop().present()] == ["Ada", "Ben"]
    workshop.close()


# ---- releasing ------------------------------------------------------------------------------------------


def test_a_release_takes_the_role_the_pin_and_an_empty_gate(shop: SmallShop) -> None:
    tag = shop.ready()
    with pytest.raises(Refused, match="may not release a unit"):
        shop.workshop.release(tag, shop.technician, PIN, "done")
    with pytest.raises(Refused, match="not the PIN of Mira"):
        shop.workshop.release(tag, shop.clerk, "1357", "done")
    question = shop.workshop.ask(tag, shop.lead, "was the fan replaced?").entries[-1].id
    with pytest.raises(Refused, match="open question: was the fan replaced"):
        shop.workshop.release(tag, shop.clerk, PIN, "done")
    shop.workshop.reply(tag, question, shop.technician, "yes")
    with reading(shop.workshop.engine) as connection:
        sequence, digest = journal.head(connection, tag)
    after = shop.workshop.release(f" {tag.lower()}", shop.clerk, PIN, "done")
    sealed = after.entries[-1].body
    assert isinstance(sealed, Released)
    assert (sealed.digest, after.unit.sequence) == (digest, sequence + 1)
    with pytest.raises(Refused, match="sealed"):
        shop.workshop.note(tag, shop.lead, "one more")
    assert shop.workshop.verify() == []


# ---- editions -------------------------------------------------------------------------------------------

OTHER_SEEN = "revision = 2\n" + SEEN.replace("from outside?", "from every side?") + PHOTO
SEAL = '[[check]]\nkey = "seal"\nask = "Seal of the last repair whole?"\nkind = "tick"\n'


def test_a_unit_is_worked_by_its_own_edition_until_a_lead_moves_it(shop: SmallShop, tmp_path: Path) -> None:
    """The rule: an answer counts for the question as it was worded; a changed question is asked again."""
    tag = shop.booked()
    shop.answer(tag, "goods_in.seen", "y")
    shop.workshop.move_on(tag, shop.technician)
    shop.answer(tag, "diagnosis.link", "4")
    edition = shop.workshop.unit(tag).unit.editions["goods_in"]
    later = shop.terminal("later", lay_sheets(tmp_path / "later", goods_in=OTHER_SEEN + SEAL))

    old = later.unit(tag)
    assert [one.state for one in old.standings("goods_in")] == [State.PASSED, State.OPEN]
    seen = old.book.check("goods_in.seen")
    assert seen
    assert seen.ask == "Seen from outside?"
    assert old.unit.editions["goods_in"] == edition
    assert later.answer(tag, "goods_in.seen", "y", shop.technician).blockers == []

    fresh = later.book_in(shop.technician, PLATE)
    assert [one.check.ask for one in fresh.standings("goods_in")] == [
        "Seen from every side?",
        "Photo from outside",
        "Seal of the last repair whole?",
    ]

    with pytest.raises(Refused, match="shift lead"):
        later.move_to_present_sheets(tag, shop.technician, "the seal is asked now")
    moved = later.move_to_present_sheets(tag, shop.lead, "the seal is asked now")
    states = {one.check.full_key: one.state for one in moved.standings()}
    assert states["goods_in.seen"] is State.STALE
    assert states["goods_in.seal"] is State.OPEN
    assert states["diagnosis.link"] is State.PASSED
    with pytest.raises(Refused, match="already worked by the present sheets"):
        later.move_to_present_sheets(tag, shop.lead, "again")
    later.close()


def test_present_sheets_that_do_not_go_with_a_station_given_up_are_refused_in_words(
    shop: SmallShop, tmp_path: Path
) -> None:
    """A station that the sheets no longer have stays on the way of the units that were booked in for it."""
    own = lay_sheets(tmp_path / "own")
    lay(own, STATION + COLOUR)
    painting = shop.terminal("painting", own)
    tag = painting.book_in(shop.technician, PLATE).unit.tag
    lay(own, STATION.replace("Paint shop", "Coating") + COLOUR, "coating")
    shutil.rmtree(own / "paint_shop")
    coating = shop.terminal("coating", own)
    with pytest.raises(Refused, match=r"do not go together: .*have the same order 90"):
        coating.move_to_present_sheets(tag, shop.lead, "coated now")
    assert painting.unit(tag).entries == coating.unit(tag).entries
    painting.close()
    coating.close()


def test_an_edition_stays_readable_when_its_folder_is_gone(shop: SmallShop) -> None:
    tag = shop.booked()
    shop.answer(tag, "goods_in.seen", "y")
    bare = Workshop.open(shop.url, terminal="bare", clock=lambda: NOW)
    before, after = shop.workshop.unit(tag), bare.unit(tag)
    assert after.book == before.book
    assert after.standings() == before.standings()
    with reading(bare.engine) as connection:
        kept = sheets_kept.kept(connection, "goods_in", before.unit.editions["goods_in"])
    assert kept == before.book.sheet("goods_in")
    bare.close()
