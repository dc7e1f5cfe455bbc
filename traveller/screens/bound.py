"""Which key does what, asked of the pages themselves, so that a paper about them cannot go stale."""

from __future__ import annotations

from importlib import import_module

from textual.binding import Binding


def key_of(page: str, action: str) -> str:
    """The key of an action of a page (file and class), or of the whole program if `page` is empty."""
    file, _, name = (page or "app:TravellerApp").partition(":")
    screen = getattr(import_module(f"traveller.screens.{file}"), name)
    return next(_called(one) for one in bindings_of(screen) if one.action == action)


def bindings_of(screen: type) -> list[Binding]:
    """What is bound on a page itself and on what it is made from."""
    bound = (one for made in screen.__mro__ for one in made.__dict__.get("BINDINGS", ()))
    return [one for one in bound if isinstance(one, Binding)]


def _called(binding: Binding) -> str:
    if binding.key_display or len(binding.key) == 1:
        return binding.key_display or binding.key
    return "+".join(part.capitalize() for part in binding.key.split("+"))
