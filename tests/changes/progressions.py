"""Progressions that the tests carry a lick through: name, changes, key, time.

Standard cadences are common practice, no source; the rest is our own invention.
"""

from __future__ import annotations

PROGRESSIONS: tuple[tuple[str, str, str, str], ...] = (
    ("ii V I, major", "iim9 | V13 | Imaj9 | VI7b9", "C major", "4/4"),
    ("ii V I, minor", "iim7b5 | V7b9 | im9 | %", "A minor", "4/4"),
    ("ii V I in two bars", "iim9 V13 | Imaj9 | iiim7 VI7b9 | iim9", "Bb major", "4/4"),
    ("turnaround", "Imaj9 VI7b9 | iim9 V13 | Imaj9 | V13", "G major", "4/4"),
    ("Dorian vamp", "Dm9 | G13 | Dm9 | G13", "D dorian", "4/4"),
    ("Lydian vamp", "Fmaj7#11 | G/F | Fmaj7#11 | Em7", "F lydian", "4/4"),
    ("Mixolydian vamp", "A7 | G/A | D/A | A7", "A mixolydian", "4/4"),
    ("Phrygian vamp", "Em7 | Fmaj7/E | Em7 | Dm7/E", "E phrygian", "4/4"),
    ("chromatic mediants", "Cmaj7 | Ebmaj7 | Abmaj7 | Bmaj7", "C major", "4/4"),
    ("mediants in minor", "Am9 | Cm9 | Ebm9 | F#m9", "A minor", "4/4"),
    (
        "blues of twelve bars",
        "A7 | D7 | A7 | A7 | D7 | D7 | A7 | F#7 | Bm7 | E7 | A7 | E7",
        "A major",
        "4/4",
    ),
    (
        "minor blues",
        "Am7 | Dm7 | Am7 | % | Dm7 | % | Am7 | % | Fmaj7 | E7b9 | Am7 | E7b9",
        "A minor",
        "4/4",
    ),
    (
        "round the circle",
        "Am7 | Dm7 | G7 | Cmaj7 | Fmaj7 | Bm7b5 | E7 | Am7",
        "A minor",
        "4/4",
    ),
    (
        "sixteen chords",
        "Dm9 | G13 | Cmaj9 | Fmaj7#11 | Bm7b5 | E7b9 | Am9 | D13 | Gmaj7 | C#m7b5 | F#7alt"
        " | Bm9 | Em9 | A13 | Dmaj9 | A7b9",
        "C major",
        "4/4",
    ),
    ("plain triads", "C | G/B | Am7 | F", "C major", "4/4"),
    ("in three", "Am9 | D13 | Gmaj9 | Cmaj7", "G major", "3/4"),
    ("in seven", "Em9 . . . A13 . . | Dmaj9 | F#7alt", "D major", "7/8"),
    ("in twelve", "Cm9 | F13 | Bbmaj9 | Ebmaj9", "Bb major", "12/8"),
    ("time changes", "Bm9 | (3/4) E13 | (4/4) Amaj9 | (2/4) F#7alt", "A major", "4/4"),
    ("backdoor", "Fmaj9 | Bbm6 Eb9 | Cmaj9 | Db7#11", "C major", "4/4"),
    ("descending bass", "Am9 | Am(maj7)/G# | Am7/G | F#m7b5", "A minor", "4/4"),
    ("diminished passing", "Cmaj7 C#dim7 | Dm7 D#dim7 | Em7 | A7b9", "C major", "4/4"),
    ("suspended", "G9sus4 | G13 | Cmaj9 | C9sus4", "C major", "4/4"),
    (
        "two keys",
        "Cm9 | F13 | Bbmaj9 | Gm9 | (D major) Em9 | A13 | Dmaj9 | Bm9",
        "Bb major",
        "4/4",
    ),
    ("repeats", "|: Gm9 | C13 :| Fmaj9 | D7alt", "F major", "4/4"),
)
