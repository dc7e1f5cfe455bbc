"""Numbers of things in words."""


def many(number: int, thing: str, more: str = "") -> str:
    """``1 unit``, ``3 units``; `more` is what several are called where that is not the word with an s."""
    return f"{number} {thing}" if number == 1 else f"{number} {more or f'{thing}s'}"
