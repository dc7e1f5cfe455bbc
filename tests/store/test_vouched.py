"""What entries vouch for, tampered with on both engines: named in words, and a backup of it refused."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from sqlalchemy import Table, select

from demo.camera import PLACES, area_of, power_stage, write_table
from demo.logger import Bench, lines
from tests.store.heat_shop import START, HeatShop, opened
from traveller.commands.root import root
from traveller.errors import Refused
from traveller.record.acts.thermal import Conditions
from traveller.record.run_entries import SamplesKept
from traveller.record.thermal import read_area
from traveller.record.thermal_entries import ThermalTaken
from traveller.store.backup import backup, need_sound, restore
from traveller.store.engine import open_engine, writing
from traveller.store.follower import Follower
from traveller.store.tables import picture, sample_chunk

BENCH = Bench(seconds=5, steps=((50, 5), (100, 10)), dip_minute=5)


@pytest.fixture(name="bench")
def _bench(database_url: str, tmp_path: Path) -> Iterator[tuple[HeatShop, str]]:
    """A shop, and a unit in the middle of a run, with samples in chunks and a thermal picture."""
    shop = opened(database_url, tmp_path)
    camera = shop.workshop.registry.register_instrument("Camera 1", "thermal camera", date(2090, 1, 1), shop.lead)
    tag = shop.running()
    shop.later(BENCH.minutes)
    log, seen = tmp_path / "logger.csv", tmp_path / "stage.csv"
    log.write_text("".join(lines(BENCH, START)), encoding="utf-8")
    assert Follower(shop.workshop, tag, shop.tester, seconds=60).take_all(log).faults == ()
    write_table(seen, power_stage())
    areas = [read_area(area_of(name), "stage") for name in PLACES]
    file = shop.workshop.thermal.read(str(seen))
    shop.workshop.thermal.take(tag, shop.tester, file, Conditions(ambient=26.0, load_fraction=1.0), areas, [camera])
    yield shop, tag
    shop.workshop.close()


def kept(shop: HeatShop, tag: str) -> dict[int, SamplesKept | ThermalTaken]:
    """The entries that vouch for something, by their line."""
    entries = shop.workshop.unit(tag).entries
    return {one.sequence: one.body for one in entries if isinstance(one.body, SamplesKept | ThermalTaken)}


def bend(shop: HeatShop, table: Table, where: Any) -> None:
    """One bit of the bytes of a row, as a disk or a hand would change it."""
    with writing(shop.workshop.engine) as connection:
        data = bytearray(bytes(connection.execute(select(table.c.bytes).where(where)).scalar_one()))
        data[len(data) // 2] ^= 1
        connection.execute(table.update().where(where).values(bytes=bytes(data)))


def lose(shop: HeatShop, table: Table, where: Any) -> None:
    with writing(shop.workshop.engine) as connection:
        connection.execute(table.delete().where(where))


@pytest.mark.parametrize(("harm", "says"), [(bend, "was changed after it was kept"), (lose, "is not in the database")])
def test_a_chunk_that_is_not_what_its_entry_says_is_named(
    bench: tuple[HeatShop, str], harm: Callable[[HeatShop, Table, Any], None], says: str, tmp_path: Path
) -> None:
    shop, tag = bench
    assert shop.workshop.verify() == []
    need_sound(shop.workshop.engine)
    (line, body) = next((n, b) for n, b in kept(shop, tag).items() if isinstance(b, SamplesKept) and b.number == 2)
    assert isinstance(body, SamplesKept)
    harm(shop, sample_chunk, (sample_chunk.c.run == str(body.run)) & (sample_chunk.c.number == 2))
    for found in (shop.workshop.verify(tag), shop.workshop.verify()):
        assert [(one.subject, one.sequence) for one in found] == [(tag, line)]
        assert found[0].what.startswith(f"Chunk 2 of the samples {says}")
    with pytest.raises(Refused, match=f"{tag}, line {line}: Chunk 2 of the samples {says}"):
        backup(shop.workshop.engine, tmp_path / "kept.backup")
    assert not (tmp_path / "kept.backup").exists()
    told = CliRunner().invoke(root, ["--database", shop.url, "verify", tag])
    assert told.exit_code == 1
    assert f"{tag}, line {line}: Chunk 2 of the samples {says}" in told.stderr


@pytest.mark.parametrize(("harm", "says"), [(bend, "was changed after it was kept"), (lose, "is not in the database")])
def test_a_picture_that_is_not_what_its_entry_says_is_named(
    bench: tuple[HeatShop, str], harm: Callable[[HeatShop, Table, Any], None], says: str
) -> None:
    shop, tag = bench
    (line, body) = next((n, b) for n, b in kept(shop, tag).items() if isinstance(b, ThermalTaken))
    assert isinstance(body, ThermalTaken)
    harm(shop, picture, picture.c.sha256 == body.picture)
    (found,) = shop.workshop.verify(tag)
    assert (found.sequence, found.lost) == (line, harm is lose)
    assert found.what.startswith(f"The picture {body.picture[:12]} {says}")
    with pytest.raises(Refused, match="The picture"):
        need_sound(shop.workshop.engine)


def test_everything_that_does_not_fit_is_named_at_once(bench: tuple[HeatShop, str]) -> None:
    shop, tag = bench
    lose(shop, sample_chunk, sample_chunk.c.number > 0)
    lose(shop, picture, picture.c.size > 0)
    assert {one.sequence for one in shop.workshop.verify()} == set(kept(shop, tag))


def test_what_is_lost_for_good_may_be_left_out_and_what_was_changed_may_not(
    bench: tuple[HeatShop, str], tmp_path: Path
) -> None:
    shop, tag = bench
    lose(shop, picture, picture.c.size > 0)
    made = backup(shop.workshop.engine, tmp_path / "kept.backup", allow_lost=True)
    there = open_engine(f"sqlite:///{tmp_path / 'there.sqlite'}")
    with pytest.raises(Refused, match="--allow-lost"):
        restore(made.path, there)
    assert restore(made.path, there, allow_lost=True).entries == made.entries
    there.dispose()
    bend(shop, sample_chunk, sample_chunk.c.number == 1)
    with pytest.raises(Refused, match=f"{tag}, line .*changed after it was kept"):
        backup(shop.workshop.engine, tmp_path / "another.backup", allow_lost=True)
