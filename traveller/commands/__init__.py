"""The commands: every act of the screens, for scripts, rigs and people who like to type.

Exit status: 0 done, 1 refused by a rule (the reasons on stderr), 2 wrong usage, 3 database not reachable.
"""

from __future__ import annotations

import sys

from traveller.errors import TravellerError


def main() -> None:
    """Entry point. Errors of this project are sentences on stderr; nothing else should ever get here."""
    from traveller.commands.root import root

    try:
        root(standalone_mode=True)
    except TravellerError as error:
        sys.stderr.write(f"{error}\n")
        raise SystemExit(error.exit_status) from None
