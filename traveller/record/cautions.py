"""What is said to whoever puts a unit back into its machine, by the kind of unit."""

from __future__ import annotations

from traveller.vocabulary import UnitKind

K = UnitKind
CAUTIONS: tuple[tuple[str, frozenset[UnitKind]], ...] = (
    ("isolate", frozenset(K)),
    ("prove_dead", frozenset({K.AC_DRIVE, K.DC_DRIVE, K.SERVO_DRIVE, K.POWER_SUPPLY})),
    ("static", frozenset({K.CIRCUIT_BOARD, K.OPERATOR_PANEL})),
    ("reform", frozenset({K.AC_DRIVE, K.SERVO_DRIVE, K.POWER_SUPPLY})),
    ("safety_functions", frozenset({K.AC_DRIVE, K.DC_DRIVE, K.SERVO_DRIVE})),
    ("parameters", frozenset(K) - {K.POWER_SUPPLY}),
    ("memory_battery", frozenset({K.AC_DRIVE, K.SERVO_DRIVE, K.OPERATOR_PANEL, K.CIRCUIT_BOARD})),
    ("first_power", frozenset({K.AC_DRIVE, K.DC_DRIVE, K.SERVO_DRIVE, K.POWER_SUPPLY})),
)
"""Which words of caution for re-installation go with which kind of unit: common practice."""
