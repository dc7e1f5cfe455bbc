"""Plausible faults by kind of unit: the customer's words, what the bench finds, why, and what is replaced."""

from __future__ import annotations

from dataclasses import dataclass, field

from traveller.record.work_entries import WorkReason
from traveller.vocabulary import UnitKind


@dataclass(frozen=True)
class Part:
    """Lines of the work list that are planned together."""

    references: tuple[str, ...]
    part: str
    reason: WorkReason
    matched_set: str = ""
    siblings: tuple[str, ...] = ()


@dataclass(frozen=True)
class Fault:
    """`finds` names the checks of diagnosis that fail, with what is read there."""

    words: str
    shows: str
    cause: str
    parts: tuple[Part, ...]
    finds: dict[str, str | dict[str, str]] = field(default_factory=dict)


def _aged(capacitors: str, relays: str = "", optocouplers: str = "") -> tuple[Part, ...]:
    """What is replaced on every refurbishment: electrolytics, relays, optocouplers."""
    named = (
        (capacitors, "electrolytic capacitor 105 °C"),
        (relays, "relay 24 V"),
        (optocouplers, "optocoupler"),
    )
    return tuple(Part(tuple(names.split()), part, "aged") for names, part in named if names)


_STAGE = Part(("Q2",), "IGBT module", "failed", "output stage", ("Q1", "Q2", "Q3"))
_DRIVER = Part(("U12",), "gate driver optocoupler", "failed")
_FAN = Part(("M1",), "fan 24 V, ball bearing", "aged")
_THYRISTORS = Part(("T3",), "thyristor module", "failed", "bridge one", ("T1", "T2", "T3"))

_SHORTED = {"volts": "0.41 0.42 0.02 0.03 0.42 0.41", "rule": "transistor module"}
_ODD = {"readings": "10.1 10.2 3.4", "tolerance": "10"}

FAULTS: dict[UnitKind, tuple[Fault, ...]] = {
    UnitKind.AC_DRIVE: (
        Fault(
            "Trips on overcurrent the moment the motor is enabled, even with the motor unplugged",
            "always",
            "Gate driver of phase V lost its negative supply; its module turned on with its neighbour",
            (_STAGE, _DRIVER, *_aged("C11 C12", "K1", "U13"), _FAN),
            {"diagnosis.diode_test": _SHORTED, "diagnosis.siblings": _ODD},
        ),
        Fault(
            "Undervoltage trip after the weekend, runs again after the third try",
            "cold",
            "DC-link capacitors dried out beside the warm heatsink; pre-charge relay burnt by the inrush",
            (Part(("K2",), "pre-charge relay", "failed"), *_aged("C1 C2 C3 C4", "", "U5 U6"), _FAN),
            {"diagnosis.dc_link_measured": "0.61 of plate"},
        ),
        Fault(
            "Blew the line fuses with a bang, smell of burning",
            "always",
            "Conductive dust on the bus bars; flash-over took the rectifier and with it one output module",
            (Part(("D1",), "rectifier module", "failed"), _STAGE, *_aged("C1 C2", "K1", "U5"), _FAN),
            {"diagnosis.diode_test": _SHORTED},
        ),
        Fault(
            "Overtemperature in the afternoon, fan sounds like a coffee grinder",
            "hot",
            "Fan bearing worn out by flour dust, heatsink clogged, compound under the module dried",
            (Part(("M1",), "fan 24 V, ball bearing", "failed"), *_aged("C1 C2", "K1", "U5 U6")),
            {"diagnosis.siblings": _ODD},
        ),
    ),
    UnitKind.DC_DRIVE: (
        Fault(
            "Motor growls and pulls in jerks, field current is right",
            "under load",
            "One thyristor no longer blocks; its snubber resistor had opened years ago",
            (_THYRISTORS, Part(("R31",), "snubber resistor 10 W", "failed"), *_aged("C5 C6", "K1", "U3")),
            {
                "diagnosis.thyristor_blocking": "52k 51k 14 53k 52k 51k",
                "diagnosis.gate_cathode": {"readings": "21 22 5 21 22 21"},
            },
        ),
        Fault(
            "Loses speed feedback now and then, then runs away until the trip",
            "now and then",
            "Cracked solder joint at the feedback terminal, opened by vibration",
            (Part(("X4",), "terminal block", "failed"), *_aged("C5 C6 C9", "K1 K2", "U3 U4")),
            {"diagnosis.runs_made": {"runs": "400", "failures": "2"}},
        ),
    ),
    UnitKind.SERVO_DRIVE: (
        Fault(
            "Encoder error after warm-up, axis drops its position",
            "hot",
            "Encoder supply regulator drifts when warm: the capacitor behind it has dried out",
            (Part(("U21",), "linear regulator 5 V", "failed"), *_aged("C31 C32 C33", "K3", "U22 U23")),
            {"diagnosis.rail_5v": "4.41"},
        ),
        Fault(
            "Brake does not open any more, red lamp, code 31 on the display",
            "always",
            "Brake driver shorted: the quenching diode across the brake in the machine was missing",
            (Part(("Q41",), "brake driver transistor", "failed"), *_aged("C31 C32", "K3", "U22"), _FAN),
            {"diagnosis.siblings": _ODD},
        ),
        Fault(
            "Dead after a lightning storm, only the 24 V lamp is on",
            "always",
            "Surge on the supply took the output stage and the gate drivers behind it",
            (_STAGE, _DRIVER, *_aged("C1 C2", "K1", "U13")),
            {"diagnosis.diode_test": _SHORTED},
        ),
    ),
    UnitKind.POWER_SUPPLY: (
        Fault(
            "24 V falls to 17 V as soon as the valves switch",
            "under load",
            "Output capacitors dried out, ripple trips the current limit early",
            (
                Part(("C7",), "output capacitor 105 °C", "failed", "output bank", ("C7", "C8", "C9")),
                *_aged("C3", "", "U2"),
            ),
            {"diagnosis.trace_compared": "differs"},
        ),
        Fault(
            "Ticks once a second and does not start",
            "always",
            "Switching transistor shorted after its start-up capacitor had lost its capacitance",
            (Part(("Q1",), "switching transistor", "failed"), *_aged("C3 C7 C8", "", "U2"), _FAN),
            {"diagnosis.diode_test": {"volts": "0.35 0.02", "rule": "rectifier diode"}},
        ),
        Fault(
            "Went off at night and came back by itself, third time this month",
            "now and then",
            "Optocoupler of the regulation aged, loop opens when the cabinet is warm",
            (Part(("U2",), "optocoupler", "failed"), *_aged("C3 C7 C8", "K1")),
            {"diagnosis.runs_made": {"runs": "400", "failures": "3"}},
        ),
    ),
    UnitKind.OPERATOR_PANEL: (
        Fault(
            "Screen stays dark, but the machine takes key presses",
            "always",
            "Backlight converter failed: its capacitor had leaked onto the track",
            (Part(("T1",), "backlight transformer", "failed"), *_aged("C14 C15", "", "U9")),
            {"diagnosis.display_and_touch": "backlight"},
        ),
        Fault(
            "Touch reacts a hand's width beside the finger, worse in the morning",
            "cold",
            "Touch foil delaminated at the lower edge where the coolant ran in",
            (Part(("TP1",), "touch foil", "failed"), *_aged("C14")),
            {"diagnosis.display_and_touch": "touch"},
        ),
    ),
    UnitKind.CIRCUIT_BOARD: (
        Fault(
            "Outputs 8 to 15 do nothing, lamp of the group glows faintly",
            "always",
            "Output driver shorted by a cable fault; its neighbour in the group was overheated",
            (
                Part(("U31",), "output driver", "failed", "driver group", ("U31", "U32")),
                *_aged("C2 C3", "K1", "U8"),
            ),
            {"diagnosis.rail_5v": "4.38", "diagnosis.trace_compared": "differs"},
        ),
        Fault(
            "Stops about twice a week without any message, we swapped everything else",
            "now and then",
            "Timer chip misses a count when warm",
            (Part(("U17",), "timer", "failed"), *_aged("C2 C3 C4", "", "U8")),
            {"diagnosis.runs_made": {"runs": "400", "failures": "2"}},
        ),
        Fault(
            "Relay chatters when the press next to it runs",
            "under load",
            "Relay contact welded and broken free many times; coil suppression diode open",
            (
                Part(("K4",), "relay 24 V", "failed"),
                Part(("D9",), "suppression diode", "failed"),
                *_aged("C2", "K3", "U8"),
            ),
            {"diagnosis.siblings": _ODD},
        ),
    ),
}
