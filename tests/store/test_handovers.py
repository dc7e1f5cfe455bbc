"""The changing shift over a shared database, on both engines: nobody is missed, nothing is accepted twice."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from functools import partial

import pytest
from sqlalchemy import update

from tests.small_shop import NOW, PLATE, SmallShop, opened
from tests.store.test_workshop_races import at_once
from traveller.errors import Overtaken, Refused
from traveller.record.acts import notice
from traveller.record.acts.handover import Wording
from traveller.record.acts.shifts import read_crew, read_cycle, read_shift
from traveller.record.brief import shop_sources, unit_sources
from traveller.record.brief.brief import Glance, Reader, make_brief
from traveller.record.brief.matter import Section
from traveller.record.entries import Body, Entry
from traveller.record.shop_entries import SHOP
from traveller.store import cards, journal, news
from traveller.store.engine import reading, writing
from traveller.store.tables import card
from traveller.store.workshop import Workshop
from traveller.vocabulary import HazardKind, Role

TRIALS = 6


def later(shop: SmallShop, after: timedelta, name: str = "later") -> Workshop:
    """A terminal of the same shop, some time later."""
    return Workshop.open(shop.url, terminal=name, overlay=shop.sheets, clock=lambda: NOW + after)


def with_live_unit(shop: SmallShop) -> str:
    tag = shop.booked()
    shop.workshop.raise_hazard(tag, HazardKind.HOT, shop.technician, "heat sink")
    return tag


def says(shop: SmallShop, section: Section, reader: str = "") -> list[str]:
    return [f"{line.unit} {line.says}".strip() for line in shop.workshop.briefing.brief(reader).under(section)]


# ---- the brief ------------------------------------------------------------------------------------------


def test_the_brief_from_cards_is_the_brief_from_the_entries(shop: SmallShop) -> None:
    live, sealed = with_live_unit(shop), shop.ready()
    held = shop.booked()
    shop.workshop.hold(held, shop.lead, "parts", NOW.date())
    shop.workshop.ask(held, shop.lead, "which fan?")
    shop.workshop.release(sealed, shop.clerk, "2468", "done")
    made = shop.workshop.briefing.brief()
    register = shop.workshop.shop()
    glances = []
    for tag in (live, held, sealed):
        view = shop.workshop.unit(tag)
        unit = view.unit
        matters = unit_sources.matters_of(view)
        glances.append(Glance(tag, PLATE.model, unit.station, unit.place, unit.release is not None, matters))
    with reading(shop.workshop.engine) as connection:
        reader = Reader("", "", made.since, news.done_since(connection, 0))
    turn = register.turn(NOW)
    assert made.lines == make_brief(turn, NOW, reader, glances, shop_sources.matters_of(register, turn)).lines
    assert {line.unit for line in made.under(Section.CHANGED)} == {live, held, sealed}
    assert [line.unit for line in made.under(Section.HELD)] == [held]


def test_last_here_is_the_last_entry_before_this_shift(shop: SmallShop) -> None:
    """What the reader has seen in this shift does not take away what changed before it."""
    tag = shop.booked()
    shop.workshop.note(tag, shop.inspector, "mine, in the early shift")
    night = later(shop, timedelta(hours=17))
    night.note(tag, shop.technician, "by somebody else, in the night")
    morning = later(shop, timedelta(hours=25))
    for lines in ("noted: by somebody else, in the night", "2 lines (2 × noted), last noted: and once more"):
        made = morning.briefing.brief(shop.inspector)
        assert made.since == NOW
        assert [line.says for line in made.under(Section.CHANGED)] == [lines]
        morning.note(tag, shop.inspector, "mine again")
        morning.note(tag, shop.technician, "and once more")
    never = morning.briefing.brief(shop.clerk)
    assert never.since == NOW + timedelta(hours=1)
    asked = morning.briefing.brief(shop.inspector, since=NOW + timedelta(hours=24))
    assert [line.says for line in asked.under(Section.CHANGED)] == ["2 lines (2 × noted), last noted: and once more"]
    night.close()
    morning.close()


def test_who_was_away_for_long_still_sees_every_unit_that_changed(
    shop: SmallShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("traveller.store.briefing.NEWEST", 2)
    tags = {shop.booked() for _ in range(4)}
    made = shop.workshop.briefing.brief(shop.inspector)
    assert {line.unit for line in made.under(Section.CHANGED)} == tags


def test_a_filter_by_station_and_rig(shop: SmallShop) -> None:
    rig = shop.workshop.registry.register_rig("Rig 1", shop.lead)
    first, second = with_live_unit(shop), with_live_unit(shop)
    shop.workshop.place(first, rig, shop.technician)
    on_rig = shop.workshop.briefing.brief(rig=rig)
    assert {line.unit for line in on_rig.lines} == {first}
    assert on_rig.hidden_dangers == len(shop.workshop.unit(second).unit.hazards)
    assert shop.workshop.briefing.brief(station="dispatch").lines == ()


def test_cards_of_an_older_program_are_made_anew_at_opening(shop: SmallShop) -> None:
    tag = with_live_unit(shop)
    with writing(shop.workshop.engine) as connection:
        connection.execute(update(card).values(matters="", matters_edition=0))
    assert says(shop, Section.DANGER) == []
    other = shop.terminal()
    assert len(other.briefing.brief().under(Section.DANGER)) == len(other.unit(tag).unit.hazards)
    assert other.cards_astray() == []
    other.close()


def test_the_card_of_a_unit_that_left_in_an_older_edition_is_not_astray(shop: SmallShop) -> None:
    """Its matters are not made anew at opening; the rest of its card is compared all the same."""
    sealed = shop.ready()
    shop.workshop.release(sealed, shop.clerk, "2468", "done")
    with writing(shop.workshop.engine) as connection:
        connection.execute(update(card).values(matters="", matters_edition=0))
    assert shop.workshop.cards_astray() == []
    with writing(shop.workshop.engine) as connection:
        connection.execute(update(card).values(model="another"))
    assert shop.workshop.cards_astray() == [sealed]


def test_the_shop_is_folded_right_after_a_writer_was_rolled_back(shop: SmallShop) -> None:
    with pytest.raises(RuntimeError), writing(shop.workshop.engine) as connection:
        shop.workshop.desk.shop(connection)
        tag = shop.workshop.desk.enter_for_shop(connection, shop.lead, *_a_note(shop))
        assert len(tag.notices.notes) == 1
        raise RuntimeError
    assert shop.workshop.shop().notices.notes == {}
    shop.workshop.notices.note(shop.lead, "crane")
    assert [one.body.text for one in shop.workshop.shop().notices.notes.values()] == ["crane"]


def _a_note(shop: SmallShop) -> list[Body]:
    return notice.note(shop.workshop.shop().people[shop.lead], "rolled back")


# ---- giving and taking ----------------------------------------------------------------------------------


def test_two_hands_never_accept_the_same_item(shop: SmallShop) -> None:
    with_live_unit(shop)
    other = shop.terminal()
    for trial in range(TRIALS):
        given = shop.workshop.handovers.prepare(shop.lead, Wording(receiver=shop.technician, as_well=True))
        number = given.body.items[0].number

        def take(workshop: Workshop, number: int = number) -> object:
            return workshop.handovers.accept(shop.technician, [number])

        waits = (0, 0.003 * (trial % 3))
        ended = at_once(partial(take, shop.workshop), partial(take, other), waits=waits)
        assert sum(isinstance(one, Overtaken) for one in ended) == 1
        assert number not in {one.item.number for one in shop.workshop.handovers.waiting().all}
    entries = _shop_entries(shop)
    accepted = [one.body.item for one in entries if one.body.kind == "item accepted"]
    assert len(accepted) == len(set(accepted)) == TRIALS
    assert shop.workshop.verify() == []
    other.close()


def _shop_entries(shop: SmallShop) -> list[Entry]:
    with reading(shop.workshop.engine) as connection:
        return journal.read(connection, SHOP)


def test_of_two_leads_at_once_one_is_told_and_nothing_is_lost(shop: SmallShop) -> None:
    second = shop.workshop.registry.enrol("Second Lead", [Role.LEAD], "2468", shop.lead)
    shop.booked()
    shop.workshop.ask(shop.booked(), shop.lead, "which fan?")
    other = shop.terminal()

    def give(workshop: Workshop, by: str, words: str) -> object:
        return workshop.handovers.prepare(by, Wording(words=words, receiver=shop.technician))

    acts = (partial(give, shop.workshop, shop.lead, "mine"), partial(give, other, second, "theirs"))
    ended = at_once(*acts)
    (told,) = [one for one in ended if isinstance(one, Refused)]
    assert "has handed over" in str(told) and "P0" not in str(told), "by name, not by badge"
    left = shop.workshop.handovers.waiting()
    assert len(left.given) == 1 and left.all
    loser, words = (second, "theirs") if ended[1] is told else (shop.lead, "mine")
    again = shop.workshop.handovers.prepare(loser, Wording(words=words, receiver=shop.technician, as_well=True))
    assert again.body.words == words
    assert len(shop.workshop.handovers.waiting().all) == len(left.all), "carried on, not doubled"
    other.close()


def test_what_nobody_accepted_stands_in_the_next_brief_and_the_next_handover(shop: SmallShop) -> None:
    tag = shop.booked()
    shop.workshop.ask(tag, shop.lead, "which fan?")
    shop.workshop.handovers.prepare(shop.lead, Wording(receiver=shop.technician))
    before = says(shop, Section.ITEM)
    assert any("which fan?" in line for line in before)
    evening = later(shop, timedelta(hours=15))
    assert [f"{one.unit} {one.says}" for one in evening.briefing.brief().under(Section.ITEM)] == before
    evening.handovers.prepare(shop.lead, Wording(receiver=shop.technician))
    numbers = [one.item.number for one in evening.handovers.waiting().all]
    assert min(numbers) > len(before) and len(numbers) == len(before)
    evening.handovers.accept(shop.technician, numbers, talked=True)
    assert evening.briefing.brief().under(Section.ITEM) == []
    evening.close()


def test_who_an_item_waits_for(shop: SmallShop) -> None:
    desk = shop.workshop.shifts
    shifts = [read_shift("early=06:00"), read_shift("late=14:00"), read_shift("night=22:00")]
    days = read_cycle("E L N", shifts)
    crews = [read_crew(f"{name}={lag}", days) for lag, name in enumerate("ABC")]
    desk.set_pattern(shop.lead, shifts, crews, date(2031, 3, 4))
    for person, crew in ((shop.lead, "A"), (shop.technician, "C"), (shop.inspector, "B")):
        desk.set_crew(person, crew, shop.lead)
    tomorrow = later(shop, timedelta(hours=25))
    assert tomorrow.shifts.watch().now.crews == ("A",)
    assert tomorrow.shifts.watch().after.crews == ("C",)
    tag = shop.booked()
    tomorrow.ask(tag, shop.lead, "which fan?")
    tomorrow.handovers.prepare(shop.lead, Wording(receiver=shop.technician))
    waiting = tomorrow.handovers.waiting
    count = len(waiting().all)
    assert len(waiting(shop.technician).mine) == count
    assert waiting(shop.inspector).mine == (), "of another crew"
    assert len(waiting(shop.clerk).mine) == count, "without a crew"
    assert waiting(shop.lead).mine == (), "who gave it"
    tomorrow.close()


# ---- notes to the shop and on units ---------------------------------------------------------------------


def test_a_note_to_the_shop_is_seen_person_by_person_and_ended_by_a_lead(shop: SmallShop) -> None:
    notices = shop.workshop.notices
    after = notices.note(shop.technician, "crane out of order", watch="nobody lifts alone")
    (which,) = after.notices.notes
    assert says(shop, Section.NOTE, shop.inspector) == ["crane out of order; watch: nobody lifts alone"]
    for _ in range(2):
        seen = notices.seen(shop.inspector, which).notices.notes[which].seen
        assert list(seen) == [shop.inspector]
    assert says(shop, Section.NOTE, shop.inspector) == []
    assert len(says(shop, Section.NOTE, shop.clerk)) == 1
    with pytest.raises(Refused, match="somebody else wrote"):
        notices.end(shop.inspector, which, "mended")
    notices.end(shop.lead, which, "mended")
    assert says(shop, Section.NOTE) == []
    with pytest.raises(Refused, match="no such note"):
        notices.seen(shop.clerk, which)


def test_a_question_to_the_shop_is_open_until_it_is_answered(shop: SmallShop) -> None:
    (which,) = shop.workshop.notices.ask(shop.technician, "who has the key?", "crew B").notices.questions
    assert says(shop, Section.QUESTION) == ["who has the key? (to crew B)"]
    shop.workshop.notices.reply(shop.lead, which, "in the office")
    assert says(shop, Section.QUESTION) == []
    with pytest.raises(Refused, match="no such open question"):
        shop.workshop.notices.reply(shop.lead, which, "again")


def test_a_note_on_a_unit_names_who_must_see_it(shop: SmallShop) -> None:
    tag = shop.booked()
    after = shop.workshop.note(tag, shop.lead, "fan loose", next_step="tighten", for_whom=[shop.technician])
    (note,) = after.unit.notes
    assert says(shop, Section.NOTE, shop.technician) == [f"{tag} fan loose; next: tighten"]
    assert says(shop, Section.NOTE, shop.inspector) == []
    shop.workshop.notices.seen_on(tag, shop.technician, note.id)
    assert says(shop, Section.NOTE, shop.technician) == []
    assert shop.workshop.notices.seen_on(tag, shop.technician, note.id).unit.sequence == after.unit.sequence + 1


# ---- the clock ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("off", "found"), [(-60, True), (-6, True), (0, False), (1, False)])
def test_a_clock_that_is_an_hour_behind_is_found(shop: SmallShop, off: int, found: bool) -> None:
    """By the server's own clock, or by the last entry in the file."""
    there = datetime.now(UTC)
    right = Workshop.open(shop.url, terminal="right", overlay=shop.sheets, clock=lambda: there)
    right.book_in(shop.technician, PLATE)
    wrong = Workshop.open(shop.url, terminal="wrong", overlay=shop.sheets, clock=lambda: there + timedelta(minutes=off))
    complaint = wrong.shifts.watch().complaint
    assert bool(complaint) == found
    assert wrong.briefing.brief().complaint == complaint
    if found:
        assert f"{abs(off)} minutes behind" in complaint
    right.close()
    wrong.close()


def test_a_server_finds_a_clock_that_runs_ahead_too(postgresql_shop: SmallShop) -> None:
    ahead = Workshop.open(
        postgresql_shop.url,
        overlay=postgresql_shop.sheets,
        clock=lambda: datetime.now(UTC) + timedelta(hours=1),
    )
    assert "60 minutes ahead" in ahead.shifts.watch().complaint
    ahead.close()


@pytest.fixture
def postgresql_shop(postgresql_url: str, tmp_path_factory: pytest.TempPathFactory) -> SmallShop:
    return opened(postgresql_url, tmp_path_factory.mktemp("sheets"))


def test_a_card_keeps_its_matters(shop: SmallShop) -> None:
    tag = with_live_unit(shop)
    with reading(shop.workshop.engine) as connection:
        kept = cards.get(connection, tag)
    assert kept and "HOT" in kept.matters and kept.matters_edition
