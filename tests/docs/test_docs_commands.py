"""Every command line of README and docs is run, in the order in which it stands, against a small shop."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests.docs.commands_of_docs import LINES, STANDS, base_shop, stand_for
from tests.store.heat_shop import HeatShop
from traveller.commands.root import root

NOT_RUN = {
    "serve": "serves until it is stopped; its own tests start it",
    "serve --address https://bench-3.shop.example --token-file /home/bench/tablet-token": "the same, for that address",
    "": "opens the terminal",
    "demo": "builds a large workshop and opens the terminal; tests/demo builds it",
    "--database postgresql://traveller_owner@shop-server/traveller doctor": "needs that server; it is run without it",
    "--database postgresql://traveller_owner@shop-server/traveller_again restore /backup/tuesday.backup": (
        "needs that server; tests/store/test_backup.py restores on both engines"
    ),
    "--as P000002G kept drop 0191f3c2-7f10-7c3e-9d2b-0c5a3c1f7e55 --because 'measured again'": (
        "needs something that was kept while a database was away; tests/store/test_store_keepers.py"
    ),
    "run U0000017 follow logger.csv": "goes on until the logger ends; tests/store/test_heat_runs.py follows files",
}
"""By hand, each with its reason. A line that is in no page any more fails."""
TAG = re.compile(r"[UPMRS]\d{6}\w")


def written(words: list[str]) -> str:
    return shlex.join(words)


RUN = {
    page: [w for p, w in LINES if p == page and written(w) not in NOT_RUN]
    for page in sorted({p for p, _ in LINES} - {"calculations.md"})
}


@pytest.fixture(scope="module", name="base")
def _base(tmp_path_factory: pytest.TempPathFactory) -> HeatShop:
    return base_shop(tmp_path_factory.mktemp("base"))


def test_the_list_of_what_is_not_run_is_not_stale() -> None:
    assert set(NOT_RUN) <= {written(words) for _, words in LINES}
    assert all(NOT_RUN.values())


def test_every_page_with_commands_that_are_run_has_its_shop() -> None:
    assert {page for page, lines in RUN.items() if lines} == set(STANDS)


@pytest.mark.parametrize("page", STANDS)
def test_the_commands_of_a_page_work_one_after_the_other(
    page: str, base: HeatShop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stand = stand_for(page, base, tmp_path)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("TRAVELLER_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("TRAVELLER_DATABASE", stand.shop.url)
    monkeypatch.setenv("TRAVELLER_STATIONS", str(stand.shop.sheets))
    monkeypatch.setenv("TRAVELLER_PERSON", stand.shop.lead)
    monkeypatch.setenv("TRAVELLER_PIN", "2468")
    monkeypatch.setenv("TRAVELLER_NEW_PIN", "2468")
    for words in RUN[page]:
        meant = [stand.meant.get(word, word) for word in words]
        unknown = {word for word in words if TAG.fullmatch(word)} - set(stand.meant)
        assert not unknown, f"{page}: say in commands_of_docs.py what {unknown} is"
        done = CliRunner().invoke(root, meant)
        assert done.exit_code == 0, f"{page}: traveller {written(words)}\n{done.output}\n{done.exception!r}"
