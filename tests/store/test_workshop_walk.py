"""Whatever is done to the units, in whatever order and at how many terminals, the record stays whole."""

from __future__ import annotations

import random
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from uuid import UUID

import pytest
from sqlalchemy import text

from tests.random_hands import RandomHands, work_alone
from tests.small_shop import SmallShop
from tests.store.tampering import without_triggers
from traveller.errors import NotReachable
from traveller.record.shop_entries import ShopNamed
from traveller.store import journal
from traveller.store.engine import reading, writing
from traveller.store.projection import card_of

SEED = 20310303
ACTS = {"sqlite": 300, "postgresql": 100}
PROCESSES, ACTS_EACH = 4, 40


def kept(shop: SmallShop) -> dict[str, list[UUID]]:
    """The identities of the entries of each unit; every sequence without a gap."""
    with reading(shop.workshop.engine) as connection:
        units = [subject for subject in journal.subjects(connection) if subject != "SHOP"]
        entries = {tag: journal.read(connection, tag) for tag in units}
    for lines in entries.values():
        assert [one.sequence for one in lines] == list(range(1, len(lines) + 1))
    return {tag: [one.id for one in lines] for tag, lines in entries.items()}


def test_a_random_walk_leaves_no_card_astray_and_no_view_behind(shop: SmallShop) -> None:
    """Two terminals take turns; each has to see at once what the other did."""
    tags = [shop.booked() for _ in range(5)]
    other = shop.terminal()
    chance = random.Random(SEED)
    hands = [RandomHands(one, chance) for one in (shop, shop.at(other))]
    for turn in range(ACTS[shop.workshop.engine.dialect.name]):
        chance.choice(hands).do_something(tags)
        if turn % 20 == 0:
            assert shop.workshop.cards_astray() == []
            fresh = shop.terminal("fresh")
            for tag in tags:
                assert shop.workshop.unit(tag).entries == other.unit(tag).entries == fresh.unit(tag).entries
                assert shop.workshop.unit(tag).reasons == other.unit(tag).reasons == fresh.unit(tag).reasons
            fresh.close()
    done = sum(len(one.done) for one in hands)
    assert done > 50
    assert sum(one.refused for one in hands) > 20
    assert any(len(ids) > 15 for ids in kept(shop).values()), "the walk has to lead somewhere"
    assert (shop.workshop.cards_astray(), other.cards_astray(), shop.workshop.verify()) == ([], [], [])
    other.close()


def test_four_processes_lose_no_act_that_was_handed_back(shop: SmallShop) -> None:
    tags = [shop.booked() for _ in range(3)]
    with ProcessPoolExecutor(PROCESSES, mp_context=get_context("forkserver")) as pool:
        working = [pool.submit(work_alone, shop, tags, ACTS_EACH, seed) for seed in range(PROCESSES)]
        done = [one for process in working for one in process.result(timeout=120)]
    entries = kept(shop)
    assert len(done) >= PROCESSES * ACTS_EACH / 4
    assert [one for one in done if one[1] not in entries[one[0]]] == []
    assert shop.workshop.verify() == []
    assert shop.workshop.cards_astray() == []


def test_what_was_rolled_back_is_forgotten_by_the_terminal_that_wrote_it(shop: SmallShop) -> None:
    """The next entry takes the same number, so the number alone does not tell the two apart."""
    other = shop.terminal()
    desk = shop.workshop.desk
    with pytest.raises(NotReachable), writing(shop.workshop.engine) as connection:
        desk.enter_for_shop(connection, shop.lead, ShopNamed(name="Never written"))
        raise NotReachable("the disk is full")
    other.registry.register_shelf("Shelf 4", shop.lead)
    assert shop.workshop.shop() == other.shop()
    assert [shelf.name for shelf in shop.workshop.shop().shelves.values()] == ["Shelf 4"]
    other.close()


# ---- by hand in the database ----------------------------------------------------------------------------


def test_cards_changed_by_hand_are_found_and_made_anew(shop: SmallShop) -> None:
    changed, gone, sound = (shop.booked() for _ in range(3))
    with writing(shop.workshop.engine) as connection:
        connection.execute(text("UPDATE card SET station = 'dispatch' WHERE tag = :tag"), {"tag": changed})
        connection.execute(text("DELETE FROM card WHERE tag = :tag"), {"tag": gone})
        connection.execute(text("UPDATE card SET tag = 'U999999X' WHERE tag = :tag"), {"tag": sound})
    astray = {changed, gone, sound, "U999999X"}
    assert set(shop.workshop.cards_astray()) == astray
    assert set(shop.workshop.cards_astray()) == astray, "to look repairs nothing"
    assert set(shop.workshop.cards_astray(repair=True)) == astray
    assert shop.workshop.cards_astray() == []
    assert {card.tag: card for card in shop.workshop.floor()} == {
        tag: card_of(shop.workshop.unit(tag)) for tag in (changed, gone, sound)
    }


TAMPERED = {
    "UPDATE entry SET payload = replace(payload, 'oil', 'air') WHERE subject = :tag AND sequence = 4": (
        4,
        "was changed after it was written",
    ),
    "UPDATE entry SET by_tag = 'P000099X' WHERE subject = :tag AND sequence = 3": (3, "columns by_tag"),
    "UPDATE entry SET digest = previous WHERE subject = :tag AND sequence = 5": (5, "was changed after it was written"),
    "DELETE FROM entry WHERE subject = :tag AND sequence = 3": (3, "Entry 3 is missing"),
}


def test_verify_names_the_first_line_of_each_traveller_that_was_tampered_with(shop: SmallShop) -> None:
    tags = [shop.booked() for _ in range(len(TAMPERED) + 1)]
    for tag in tags:
        for _ in range(4):
            shop.workshop.note(tag, shop.lead, "smells of oil")
    assert shop.workshop.verify() == []
    with writing(shop.workshop.engine) as connection:
        without_triggers(connection)
        for tag, statement in zip(tags, TAMPERED, strict=False):
            assert connection.execute(text(statement), {"tag": tag}).rowcount == 1
    found = shop.workshop.verify()
    assert [broken.subject for broken in found] == tags[:-1]
    for broken, (sequence, says) in zip(found, TAMPERED.values(), strict=True):
        assert broken.sequence == sequence
        assert says in broken.what
        assert shop.workshop.verify(broken.subject) == [broken]
    assert shop.workshop.verify(tags[-1]) == []
