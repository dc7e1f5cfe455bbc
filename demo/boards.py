"""Parts lists as they come out of an invented drawing office, by kind of unit."""

from __future__ import annotations

from collections.abc import Mapping

from traveller.vocabulary import UnitKind

HEAD = "reference;kind;value;rating;footprint;matched_set;board;drives"

AC_DRIVE = f"""{HEAD}
Q1-Q6;IGBT;;1200 V 50 A;module 34 mm;output stage;power board;
U11;driver;;;SO-16;;driver board;Q1
U12;driver;;;SO-16;;driver board;Q2
U13;driver;;;SO-16;;driver board;Q3
U14;driver;;;SO-16;;driver board;Q4
U15;driver;;;SO-16;;driver board;Q5
U16;driver;;;SO-16;;driver board;Q6
C1-C4;electrolytic;470 µF;450 V 105 °C;snap-in 10 mm;link bank;power board;
C11-C14;electrolytic;100 µF;35 V 105 °C;radial 2.5 mm;;driver board;
C21, C22;film;0.47 µF;1000 V;27.5 mm;;power board;
K1;relay;24 V;16 A;;;power board;
U5, U6;optocoupler;;;DIP-4;;control board;
M1;fan;24 V;;80 mm;;heatsink;
U21;regulator;5 V;1 A;TO-220;;control board;
X1-X3;connector;;;;;control board;
"""

SERVO_DRIVE = f"""{HEAD}
Q1-Q3;IGBT;;600 V 30 A;module 28 mm;output stage;power board;
U31;driver;;;SO-16;;power board;Q1
U32;driver;;;SO-16;;power board;Q2
U33;driver;;;SO-16;;power board;Q3
C31-C33;electrolytic;220 µF;50 V 105 °C;radial 5 mm;;control board;
K3;relay;24 V;8 A;;;brake board;
U22, U23;optocoupler;;;DIP-4;;brake board;
U21;regulator;5 V;1 A;DPAK;;control board;
U40;logic;encoder interface;;QFN-32;;control board;
"""

BOARD = f"""{HEAD}
U31, U32;driver;;;SO-18;driver group;;
C2, C3;electrolytic;47 µF;35 V 105 °C;radial 2.5 mm;;;
K1;relay;24 V;2 A;;;;
U8;optocoupler;;;DIP-4;;;
U17;logic;timer;;DIP-8;;;
D1-D8;diode;;100 V 1 A;SMA;;;
"""

PARTS: Mapping[UnitKind, str] = {
    UnitKind.AC_DRIVE: AC_DRIVE,
    UnitKind.SERVO_DRIVE: SERVO_DRIVE,
    UnitKind.CIRCUIT_BOARD: BOARD,
}
