"""Every place in the program where somebody may be when a scanner beeps, and how to get there."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from textual.widgets import Input

from tests.screens.small_shop import SmallShop
from tests.way.hands import Hands

Go = Callable[[Hands, SmallShop, str], Awaitable[None]]


async def _bench(hands: Hands, _shop: SmallShop, _tag: str) -> None:
    await hands.press("f2")


async def _floor(hands: Hands, _shop: SmallShop, _tag: str) -> None:
    await hands.press("f3")


def _from_floor(key: str) -> Go:
    async def go(hands: Hands, _shop: SmallShop, _tag: str) -> None:
        await hands.press("f3", key)

    return go


async def _find(hands: Hands, _shop: SmallShop, _tag: str) -> None:
    await hands.press("f4")
    await hands.paste("sand")


async def _help(hands: Hands, _shop: SmallShop, _tag: str) -> None:
    await hands.press("f1")


async def _calculator(hands: Hands, _shop: SmallShop, _tag: str) -> None:
    await hands.press("f12")


def _keys(*keys: str) -> Go:
    async def go(hands: Hands, _shop: SmallShop, _tag: str) -> None:
        await hands.press(*keys)

    return go


async def _unit(hands: Hands, _shop: SmallShop, tag: str) -> None:
    await hands.scan(tag)
    await hands.paste("half an answer")


def _from_unit(*keys: str) -> Go:
    async def go(hands: Hands, _shop: SmallShop, tag: str) -> None:
        await hands.scan(tag)
        await hands.press(*keys)

    return go


async def _sheet(hands: Hands, _shop: SmallShop, tag: str) -> None:
    await hands.scan(tag)
    await hands.press("f6", "q")
    await hands.paste("who has the")


async def _booking(hands: Hands, _shop: SmallShop, _tag: str) -> None:
    await hands.press("f5", "down")
    await hands.paste("Norr")


PLACES: dict[str, Go] = {
    "bench": _bench,
    "floor": _floor,
    "load runs": _from_floor("l"),
    "rigs": _from_floor("r"),
    "find": _find,
    "help": _help,
    "calculator": _calculator,
    "brief": _keys("f11"),
    "giving": _keys("f11", "h"),
    "taking": _keys("f11", "a"),
    "unit": _unit,
    "work list": _from_unit("f7"),
    "working out": _from_unit("f7", "w"),
    "bags": _from_unit("f7", "m"),
    "parts list": _from_unit("f7", "i"),
    "gate": _from_unit("f8"),
    "history": _from_unit("f9"),
    "photos": _from_unit("f6", "f"),
    "findings": _from_unit("f6", "i"),
    "joints": _from_unit("f6", "j"),
    "code": _from_unit("f6", "s"),
    "siblings": _from_unit("f6", "t"),
    "traces": _from_unit("f6", "g"),
    "runs": _from_unit("f6", "k"),
    "choice": _from_unit("f6"),
    "sheet": _sheet,
    "booking": _booking,
}
SHEETS = ("sheet", "booking")


def fields(hands: Hands) -> list[str]:
    """All that stands in the fields of the screen on top."""
    return [one.value for one in hands.app.screen.query(Input)]


def everywhere(hands: Hands) -> list[list[str]]:
    """All that stands in the fields of all screens."""
    return [[one.value for one in screen.query(Input)] for screen in hands.app.screen_stack]
