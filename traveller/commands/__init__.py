"""The commands: every act of the screens, for scripts, rigs and people who like to type.

Exit status: 0 done, 1 refused by a rule (the reasons on stderr), 2 wrong usage, 3 database not reachable.
"""

from __future__ import annotations

import sys


def main() -> None:
    """Entry point of the program."""
    from traveller.commands.root import root
    from traveller.inert import inert

    root([inert(word) for word in sys.argv[1:]])
