"""A drive with a six-transistor stage and a control board of 180 parts, invented for the tests."""

from __future__ import annotations

from traveller.record.parts_entries import Part, PartKind, PartsListed
from traveller.stationbook import load_stations

STATIONS = load_stations()
POLICY = STATIONS.replacement

STAGE = [
    Part(reference=f"Q{n}", kind=PartKind.IGBT, rating="1200 V 50 A", matched_set="Power stage") for n in range(1, 7)
]
DRIVERS = [
    Part(reference=f"U{n}", kind=PartKind.DRIVER, matched_set="power stage", drives=(f"Q{n}",)) for n in range(1, 7)
]


def _board() -> list[Part]:
    """180 parts: 12 electrolytics, 3 relays, 8 optocouplers, 1 fan, the rest does not age."""
    many = [
        *((f"C{n}", PartKind.ELECTROLYTIC) for n in range(1, 13)),
        *((f"C{n}", PartKind.OTHER) for n in range(13, 61)),
        *((f"K{n}", PartKind.RELAY) for n in range(1, 4)),
        *((f"U{n}", PartKind.OPTOCOUPLER) for n in range(11, 19)),
        *((f"U{n}", PartKind.LOGIC) for n in range(19, 31)),
        *((f"D{n}", PartKind.DIODE) for n in range(1, 25)),
        *((f"R{n}", PartKind.OTHER) for n in range(1, 65)),
        ("F1", PartKind.FAN),
        *((f"X{n}", PartKind.CONNECTOR) for n in range(1, 8)),
        ("BT1", PartKind.BATTERY),
    ]
    return [Part(reference=reference, kind=kind, board="control") for reference, kind in many]


BOARD = _board()
DRIVE = PartsListed(parts=(*STAGE, *DRIVERS, *BOARD), origin="file drive.csv")
