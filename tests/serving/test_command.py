"""`traveller serve`: where it may listen, and where the token comes from and never goes."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from hypothesis import given
from hypothesis import strategies as st

from traveller.commands.root import root
from traveller.errors import InputError
from traveller.serving.address import loopback, served_at
from traveller.serving.token import cookie_of, kept_token, new_token, same


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TRAVELLER_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("TRAVELLER_DATABASE", str(tmp_path / "home" / "shop.sqlite"))


def run(*words: str) -> Result:
    return CliRunner().invoke(root, ["serve", *words])


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.168.1.20", "bench-3", "", "127.0.0.1.example", "169.254.1.1"])
def test_it_listens_to_this_machine_alone_and_says_how_to_do_it_properly(host: str) -> None:
    done = run("--host", host)
    assert done.exit_code == 2
    assert "is not this machine alone" in done.output
    assert "docs/tablet.md" in done.output
    assert "Traceback" not in done.output


def test_what_the_refusal_points_to_is_there() -> None:
    assert (Path(__file__).parents[2] / "docs" / "tablet.md").is_file()


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost", "LocalHost", "::1", "[::1]", "127.8.0.1"])
def test_this_machine_alone(host: str) -> None:
    assert loopback(host) in ("127.0.0.1", "::1", "127.8.0.1")


@pytest.mark.parametrize(
    ("address", "origin", "host"),
    [
        ("", "http://127.0.0.1:8040", "127.0.0.1:8040"),
        ("https://Bench.Sandbeck.example", "https://bench.sandbeck.example", "bench.sandbeck.example"),
        ("https://bench.sandbeck.example:443/", "https://bench.sandbeck.example", "bench.sandbeck.example"),
        ("https://bench.sandbeck.example:8443", "https://bench.sandbeck.example:8443", "bench.sandbeck.example:8443"),
        ("http://localhost:9000", "http://localhost:9000", "localhost:9000"),
        ("https://[2001:db8::7]", "https://[2001:db8::7]", "[2001:db8::7]"),
    ],
)
def test_the_address_as_a_browser_says_it(address: str, origin: str, host: str) -> None:
    """RFC 6454, section 6.2: the standard port is left out."""
    at = served_at(address, "127.0.0.1", 8040)
    assert (at.origin, at.host) == (origin, host)


@pytest.mark.parametrize(
    "address",
    [
        "http://bench.sandbeck.example",
        "bench.sandbeck.example",
        "ftp://bench.sandbeck.example",
        "https://",
        "https://a@b.example",
        "https://b.example/traveller",
        "https://b.example?x",
        "https://b.example:99999",
        "https://[",
    ],
)
def test_an_address_that_cannot_be_served_is_refused_in_words(address: str) -> None:
    done = run("--address", address)
    assert done.exit_code == 2
    assert "https" in done.output
    assert "Traceback" not in done.output


@given(st.text())
def test_whatever_is_typed_as_an_address_is_one_or_is_refused(text: str) -> None:
    reads: list[Callable[[], str]] = [lambda: loopback(text), lambda: served_at(text, "127.0.0.1", 8040).origin]
    for read in reads:
        try:
            assert read()
        except InputError as error:
            assert str(error)


@given(st.text(), st.text(min_size=1))
def test_only_the_same_is_the_same(given_: str, right: str) -> None:
    assert same(given_, right.encode("utf-8", "replace").decode()) == (
        given_.encode("utf-8", "replace") == right.encode("utf-8", "replace")
    )


def test_tokens_are_long_and_never_twice() -> None:
    made = {new_token() for _ in range(200)}
    assert len(made) == 200
    assert min(map(len, made)) >= 43, "32 bytes in base64url, RFC 4648 section 5"
    assert not made & {cookie_of(one) for one in made}


def test_a_token_file_is_made_for_this_user_only_and_read_again(tmp_path: Path) -> None:
    file = tmp_path / "token"
    token = kept_token(file)
    assert file.stat().st_mode & 0o777 == 0o600
    assert kept_token(file) == token


@pytest.mark.parametrize("mode", [0o640, 0o604, 0o644, 0o660])
def test_a_token_that_others_can_read_is_no_secret(tmp_path: Path, mode: int) -> None:
    file = tmp_path / "token"
    kept_token(file)
    file.chmod(mode)
    done = run("--token-file", str(file))
    assert done.exit_code == 2
    assert f"can be read by others (mode {mode:o}): chmod 600" in done.output


@pytest.mark.parametrize("text", [b"", b"short", b"a" * 31, b"x y" * 20, b"\xff" * 40, "ü".encode() * 40])
def test_a_file_without_a_token_is_refused(tmp_path: Path, text: bytes) -> None:
    file = tmp_path / "token"
    file.write_bytes(text)
    file.chmod(0o600)
    done = run("--token-file", str(file))
    assert done.exit_code == 2
    assert "token" in done.output
    assert "Traceback" not in done.output


def test_where_no_file_can_be_made_it_says_so(tmp_path: Path) -> None:
    done = run("--token-file", str(tmp_path / "nowhere" / "token"))
    assert done.exit_code == 2
    assert "cannot be made" in done.output


def test_the_link_is_printed_for_a_person_and_into_no_log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    served: list[Any] = []
    monkeypatch.setattr("traveller.serving.front.serve", lambda front, listening: served.append((front, listening)))
    assert "named" not in run().output
    assert "printed at a terminal" in run().output
    assert not served
    file = tmp_path / "token"
    port = _free_port()
    said = run("--token-file", str(file), "--port", str(port))
    assert said.exit_code == 0, said.output
    assert file.read_text().strip() not in said.output
    assert str(file) in said.output
    monkeypatch.setattr("traveller.commands.serve.at_a_terminal", lambda: True)
    said = run("--token-file", str(file), "--port", str(_free_port()))
    assert f"/?token={file.read_text().strip()}" in said.output
    for _, listening in served:
        listening.close()
    assert os.environ["TRAVELLER_DATABASE"] == str(tmp_path / "home" / "shop.sqlite")


def test_a_port_that_somebody_else_has_is_named(tmp_path: Path) -> None:
    from traveller.serving.front import listen

    with listen("127.0.0.1", 0) as taken:
        port = taken.getsockname()[1]
        done = run("--token-file", str(tmp_path / "token"), "--port", str(port))
    assert done.exit_code == 2
    assert f"Port {port} of 127.0.0.1 cannot be had" in done.output


def test_without_the_part_for_tablets_it_says_how_to_get_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import sys

    monkeypatch.delitem(sys.modules, "traveller.serving.front", raising=False)
    monkeypatch.setitem(sys.modules, "textual_serve", None)
    monkeypatch.setitem(sys.modules, "textual_serve.server", None)
    monkeypatch.setitem(sys.modules, "textual_serve.app_service", None)
    done = run("--token-file", str(tmp_path / "token"))
    assert done.exit_code == 2
    assert "pip install 'workshop-traveller[tablet]'" in done.output


def _free_port() -> int:
    from traveller.serving.front import listen

    with listen("127.0.0.1", 0) as found:
        return int(found.getsockname()[1])
