"""The file of what is kept, cut off at any byte, as a power cut may leave it (common practice)."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from uuid import UUID

from hypothesis import given
from hypothesis import strategies as st

from traveller.record.acts.afterwards import Kept
from traveller.record.acts.deeds.shop import NotingToShop
from traveller.record.shop_entries import SHOP
from traveller.store.keepsafe import Keepsafe

NOON = datetime(2031, 3, 3, 12, tzinfo=UTC)


def kept(number: int, text: str) -> Kept:
    return Kept(
        id=UUID(int=number),
        record="one",
        tag=SHOP,
        deed=NotingToShop(text=text),
        by="P000003E",
        terminal="bench 2",
        at=NOON,
        seen=1,
    )


texts = st.lists(st.text(min_size=1, max_size=12), min_size=1, max_size=4)


@given(said=texts, where=st.floats(min_value=0, max_value=1), damage=st.binary(max_size=9))
def test_every_whole_line_is_there_and_what_is_torn_is_set_aside(said: list[str], where: float, damage: bytes) -> None:
    with TemporaryDirectory() as folder:
        safe, file = Keepsafe(Path(folder)), Path(folder) / "kept.jsonl"
        for number, text in enumerate(said, 1):
            safe.keep(kept(number, text), {})
        whole = file.read_bytes()
        cut = int(where * len(whole))
        file.write_bytes(whole[:cut] + damage.replace(b"\n", b""))
        ends = [at for at, byte in enumerate(whole) if byte == ord("\n")]
        sure = [one for one, at in enumerate(ends, 1) if at < cut]
        again = Keepsafe(Path(folder))
        found = [one.int for one in again.pile().waiting]
        assert found[: len(sure)] == sure
        assert len(found) <= len(sure) + 1
        again.keep(kept(99, "after it"), {})
        assert [one.int for one in Keepsafe(Path(folder)).pile().waiting] == [*found, 99]
        aside = Path(folder) / "damaged.jsonl"
        told = aside.read_bytes() if aside.exists() else b""
        torn = whole[ends[len(sure) - 1] + 1 if sure else 0 : cut] + damage.replace(b"\n", b"")
        assert again.damaged == (len(found) == len(sure) and torn != b"")
        assert told == (torn + b"\n" if again.damaged else b"")
