"""The keys that are offered wherever one is asked for; any other can be typed."""

from __future__ import annotations

KEYS = (
    "C major",
    "D dorian",
    "E phrygian",
    "F lydian",
    "G mixolydian",
    "A minor",
    "B locrian",
    "A melodic minor",
    "A harmonic minor",
    "B dorian",
    "G major",
    "E minor",
)
