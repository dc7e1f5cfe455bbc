"""The database of every earlier form comes forward with what is in it, on both engines.

An earlier form is made by Alembic itself, as a program of that time would have made it; its rows are those of a shop
that has worked, so far as the form has tables and columns for them.
"""

from __future__ import annotations

from collections.abc import Collection

import pytest
from alembic import command
from sqlalchemy import Connection, Engine, MetaData, create_engine, inspect, select

from tests.small_shop import NOW, PIN, SmallShop, opened
from traveller.errors import Refused
from traveller.store.address import address
from traveller.store.journal import verify
from traveller.store.migrations import HEAD, REVISIONS
from traveller.store.migrations.run import migrations_config
from traveller.store.workshop import Workshop

MADE_ANEW = {"alembic_version", "card"}
"""Cards are worked out of the entries: only that they are whole again is looked at."""


def lay_out(engine: Engine, revision: str) -> None:
    """An empty database of an earlier form."""
    config = migrations_config()
    with engine.begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, revision)


Rows = dict[str, list[dict[str, object]]]


def rows(connection: Connection, known: Collection[str] = ()) -> Rows:
    """Every table with its rows, in the order of their text, entries in theirs; of the columns that are `known`."""
    tables = MetaData()
    tables.reflect(connection)
    found = {}
    for name, table in tables.tables.items():
        columns = [one for one in table.columns if not known or f"{name}.{one.name}" in known]
        if columns and name not in ("alembic_version",):
            there = [dict(one._mapping) for one in connection.execute(select(*columns))]
            found[name] = sorted(there, key=lambda one: (one.get("position", 0), str(one)))
    return found


def columns_of(engine: Engine) -> set[str]:
    seen = inspect(engine)
    return {f"{name}.{one['name']}" for name in seen.get_table_names() for one in seen.get_columns(name)}


def fill(engine: Engine, given: Rows) -> None:
    """The rows into a database of an earlier form, without what it has no place for; it counts positions itself."""
    tables = MetaData()
    tables.reflect(engine)
    with engine.begin() as connection:
        for name, table in tables.tables.items():
            for row in given.get(name, []):
                kept = {one.name: row[one.name] for one in table.columns if one.name in row and one.name != "position"}
                connection.execute(table.insert().values(kept))


@pytest.fixture(name="worked", scope="module")
def _worked(tmp_path_factory: pytest.TempPathFactory) -> tuple[SmallShop, Rows, str, str]:
    """A shop that has worked, its rows, the tag of a released unit and of one on its way."""
    folder = tmp_path_factory.mktemp("worked")
    shop = opened(f"sqlite:///{folder / 'record.sqlite'}", folder)
    gone = shop.ready()
    shop.workshop.release(gone, shop.clerk, PIN, "repaired and proved")
    here = shop.booked()
    shop.workshop.note(here, shop.technician, "smells of oil")
    with shop.workshop.engine.connect() as connection:
        found = rows(connection)
    shop.workshop.close()
    return shop, found, gone, here


@pytest.mark.parametrize("revision", REVISIONS)
def test_it_comes_forward_whole(worked: tuple[SmallShop, Rows, str, str], revision: str, empty_url: str) -> None:
    shop, given, gone, here = worked
    old = create_engine(address(empty_url))
    lay_out(old, revision)
    fill(old, given)
    known = columns_of(old)
    with old.connect() as connection:
        before = rows(connection)
    old.dispose()
    assert len(before["entry"]) == len(given["entry"]) > 20
    assert ("pin.wrong" in known) is (revision >= "0002")

    workshop = Workshop.open(empty_url, terminal="bench 1", overlay=shop.sheets, clock=lambda: NOW)
    with workshop.engine.connect() as connection:
        after = rows(connection, known)
        assert connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar() == HEAD
    for table in before.keys() - MADE_ANEW:
        assert after[table] == before[table], f"{table}, from {revision}"
    assert workshop.verify() == []
    assert workshop.cards_astray() == []
    assert {card.tag for card in workshop.queue("goods_in")} == {here}
    release = workshop.unit(gone).unit.release
    assert release is not None
    assert workshop.sign_on("Mira", PIN).tag == shop.clerk
    with pytest.raises(Refused, match="not the PIN"):
        workshop.sign_on("Mira", "1357")
    assert workshop.note(here, shop.technician, "wiped").unit.sequence == workshop.unit(here).unit.sequence
    with workshop.engine.connect() as connection:
        assert verify(connection, here) is None
    assert workshop.briefing.brief(shop.lead).lines
    plate = workshop.unit(here).unit.nameplate
    assert plate
    new = workshop.book_in(shop.technician, plate)
    assert new.unit.tag not in (gone, here)
    workshop.close()
