"""Three looks of our own, made so that every state can be told without colour: blue and orange, never red
against green. The signs and words carry the meaning; colour only helps."""

from __future__ import annotations

from textual.theme import Theme

LOOKS = (
    Theme(
        name="bench-dark",
        primary="#5aa9e6",
        secondary="#8fb8d8",
        accent="#5aa9e6",
        warning="#f0a202",
        error="#ff9f68",
        success="#8ecae6",
        foreground="#e8edf2",
        background="#10161c",
        surface="#10161c",
        panel="#1b252f",
        dark=True,
        variables={"block-cursor-background": "#2c4f6b", "block-cursor-foreground": "#ffffff"},
    ),
    Theme(
        name="bench-light",
        primary="#0b5394",
        secondary="#38618c",
        accent="#0b5394",
        warning="#8a4b00",
        error="#9c3d00",
        success="#0b5394",
        foreground="#14202b",
        background="#f7f9fb",
        surface="#f7f9fb",
        panel="#e3eaf0",
        dark=False,
        variables={"block-cursor-background": "#bcd5ea", "block-cursor-foreground": "#000000"},
    ),
    Theme(
        name="bench-contrast",
        primary="#ffffff",
        secondary="#ffffff",
        accent="#ffd166",
        warning="#ffd166",
        error="#ffd166",
        success="#ffffff",
        foreground="#ffffff",
        background="#000000",
        surface="#000000",
        panel="#000000",
        dark=True,
        variables={"block-cursor-background": "#ffffff", "block-cursor-foreground": "#000000"},
    ),
)
