"""The band beside the line, measured: is the chord heard, is the line left alone, do both swing?

Run with ``python bench/band.py``; ``--only N`` takes the first N, ``--json FILE`` keeps the rows.
24 progressions in the feels and tempi below, none of them used while the band was made.  Loudness
and its range are ``pyloudnorm``'s, the MIDI is read back with ``mido``, true peak is the highest of
``scipy``'s four-fold resampling.
"""

from __future__ import annotations

import os

os.environ.update(OPENBLAS_NUM_THREADS="1", OMP_NUM_THREADS="1", NUMBA_NUM_THREADS="1")

import argparse
import io
import json
import math
import tempfile
from collections import defaultdict
from pathlib import Path
from typing import Any

import mido
import numpy as np
import numpy.typing as npt
import pyloudnorm
import scipy.signal

from lickwright.lesson.compile import Workshop
from lickwright.lesson.file import load_lesson
from lickwright.score import SAMPLE_RATE, Score
from lickwright.sound import midi_bytes
from lickwright.sound.band import feel_named
from lickwright.sound.mix import Playing, level, stems

Samples = npt.NDArray[np.float32]

#: Key, changes, time, tempo, rhythm, home frets, feel, and the feel of old that stands for it.
CASES = (
    ("D dorian", "Dm9 | G13 | Dm9 | G13", "4/4", 96, "8ths", "5-9", "swing", "shuffle"),
    ("C ionian", "Dm7 | G7b9 | Cmaj9 | A7b9", "4/4", 132, "8ths", "7-12", "swing", "shuffle"),
    ("A aeolian", "Am9 | Dm9 | Fmaj9 | E7b9", "4/4", 72, "16ths", "5-9", "straight", "straight"),
    ("G mixolydian", "G9 | C9 | G9 | D9", "4/4", 84, "8ths", "3-8", "shuffle", "shuffle"),
    ("E aeolian", "Em9 | Cmaj9 | G | D", "4/4", 66, "16ths", "7-12", "half-time", "half-time"),
    ("Bb ionian", "Bbmaj9 | Gm9 | Cm9 | F13", "4/4", 112, "8ths", "6-11", "bossa", "straight"),
    ("F lydian", "Fmaj9#11 | G | Fmaj9#11 | G", "4/4", 88, "16ths", "8-13", "vamp", "vamp"),
    ("C dorian", "Cm9 | F13 | Cm9 | F13", "4/4", 92, "16ths", "8-12", "funk", "straight"),
    ("A mixolydian", "A7 | D9 | A7 | E7", "4/4", 58, "8th triplets", "5-9", "12/8", "shuffle"),
    ("D ionian", "Dmaj9 | Bm9 | Em9 | A13", "3/4", 120, "8ths", "5-10", "straight", "straight"),
    ("B phrygian", "Bm | C | Bm | C", "7/8", 100, "8ths", "7-12", "straight", "straight"),
    ("G dorian", "Gm9 | C13 | Gm9 | C13", "5/4", 110, "8ths", "3-8", "swing", "shuffle"),
    ("E dorian", "Em9 | A13 | Em9 | A13", "4/4", 104, "16ths", "12-17", "chords", "chords"),
    ("F# aeolian", "F#m9 | Dmaj9 | Bm9 | C#7b9", "4/4", 76, "16ths", "9-14", "chords", "chords"),
    ("Ab ionian", "Abmaj9 | Fm9 | Bbm9 | Eb13", "4/4", 160, "8ths", "4-9", "swing", "shuffle"),
    ("C mixolydian", "C9 | F9 | C9 | G9", "4/4", 126, "8ths", "8-12", "shuffle", "shuffle"),
    ("D aeolian", "Dm9 | Bbmaj9 | Gm9 | A7b9", "6/8", 96, "8ths", "10-14", "straight", "straight"),
    ("E mixolydian", "E9 | A9 | E9 | B7", "4/4", 98, "16ths", "12-16", "funk", "straight"),
    ("G ionian", "Gmaj9 | Em9 | Am9 | D13", "4/4", 138, "8ths", "7-12", "bossa", "straight"),
    ("B dorian", "Bm9 | E13 | Bm9 | E13", "4/4", 80, "16ths", "2-7", "half-time", "half-time"),
    ("Eb ionian", "Fm9 | Bb7b9 | Ebmaj9 | C7b9", "4/4", 180, "8ths", "6-11", "swing", "shuffle"),
    ("A dorian", "Am9 | D13 | Am9 | D13", "12/8", 150, "8ths", "12-17", "12/8", "shuffle"),
    ("F ionian", "Gm7 C7 | Fmaj9 Dm9 | Gm7 C7 | Fmaj9", "4/4", 100, "8ths", "5-10", "vamp", "vamp"),
    ("C# aeolian", "C#m9 | Amaj9 | F#m9 | G#7b9", "4/4", 70, "16ths", "9-14", "chords", "chords"),
)
#: Two triads of the key that every line begins with, by mode.
_PAIRS = {"aeolian": ("m", "i"), "dorian": ("m", "i")}
_RIDES = {42, 44, 46, 51, 53, 59}  # General MIDI: hats and rides
TIMES = "two eight-bar rounds of each, so that a pattern has time to repeat itself"


def score_of(case: tuple[Any, ...], feel: str) -> Score:
    """A line carried over the changes, worked out as any lesson is."""
    key, changes, time, tempo, rhythm, frets, *_ = case
    chords = changes.split(" | ")
    first = chords[0].split()[0]
    tonic = first[:2] if first[1:2] in ("b", "#") else first[:1]
    minor = first[len(tonic) :].startswith("m") and not first[len(tonic) :].startswith("maj")
    lesson = {
        "lesson": "Bench",
        "key": key,
        "time": time,
        "tempo": {"slow": 40, "target": tempo},
        "backing": feel,
        "examples": [
            {
                "name": "Home",
                "triads": [tonic + ("m" if minor else "")],
                "over": tonic,
                "frets": frets,
                "rhythm": rhythm,
            },
            {
                "name": key,
                "lick": "Home",
                "changes": " | ".join(chords * 2),
                "carry": "idea",
            },
        ],
    }
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "bench.yaml")
        path.write_text(json.dumps(lesson), "utf-8")  # JSON is YAML too
        return Workshop(load_lesson(path)).worked(1).score


def notes_by_track(midi: bytes) -> tuple[dict[str, list[tuple[float, float, int, int]]], int]:
    """Onset and end in quarter notes, key and velocity, by track name."""
    file = mido.MidiFile(file=io.BytesIO(midi))
    found: dict[str, list[tuple[float, float, int, int]]] = defaultdict(list)
    for track in file.tracks:
        now, begun = 0, {}
        for message in track:
            now += message.time
            if message.type == "note_on" and message.velocity:
                begun[message.channel, message.note] = (now, message.velocity)
            elif message.type in ("note_on", "note_off"):
                start = begun.pop((message.channel, message.note), None)
                if start is not None:
                    quarters = [at / file.ticks_per_beat for at in (start[0], now)]
                    found[track.name].append((*quarters, message.note, start[1]))
    return found, file.ticks_per_beat


def beside(notes: dict[str, Any], name: str) -> tuple[int, int, int]:
    """Lead notes that chords sound under; those inside the voicing; those a semitone from it."""
    heard = inside = rubs = 0
    # A stretched voicing stands on two tracks where it is spread over two channels.
    chords = [note for track, own in notes.items() if track.startswith(name) for note in own]
    for onset, end, key, _ in notes["Lead guitar"]:
        under = [k for start, stop, k, _ in chords if start < end - 1e-6 and stop > onset + 1e-6]
        if under:
            heard += 1
            inside += min(under) <= key <= max(under)
            rubs += any(abs(key - k) == 1 for k in under)
    return heard, inside, rubs


def swing_ms(notes: dict[str, Any], score: Score, tempo: float) -> float | None:
    """The widest gap between an off-beat eighth of the line and the band's stroke beside it, ms."""
    if score.bars[0].unit != 4:
        return None
    strokes = np.array([on for on, _, key, _ in notes.get("Drums", ()) if key in _RIDES])
    if not len(strokes):
        return None
    written = {note.onset: note for note in score.lick.notes}
    gaps = []
    for (on, *_), moment in zip(sorted(notes["Lead guitar"]), sorted(written), strict=True):
        beat = moment.numerator // moment.denominator
        others = {m % 1 for m in written if beat <= m < beat + 1}
        if moment % 1 == 0.5 and all(m * 2 == int(m * 2) for m in others):
            near = strokes[(strokes > beat + 1e-6) & (strokes < beat + 1 - 1e-6)]
            if len(near):
                gaps.append(float(np.abs(near - on).min()))
    return 60000 / tempo * max(gaps) if gaps else None


def drum_bars(notes: dict[str, Any], score: Score) -> tuple[int, int]:
    """Bars with drums, and how many of them differ, quantised to a 24th of a quarter note."""
    patterns = []
    for bar in score.bars:
        inside = [
            (round(24 * (on - float(bar.onset))), key)
            for on, _, key, _ in notes.get("Drums", ())
            if float(bar.onset) - 1e-6 <= on < float(bar.end) - 1e-6
        ]
        if inside:
            patterns.append(tuple(sorted(inside)))
    return len(patterns), len(set(patterns))


def db(power: float) -> float:
    return 10 * math.log10(power) if power > 0 else -math.inf


def measured(case: tuple[Any, ...], feel: str) -> dict[str, Any]:
    score = score_of(case, feel)
    tempo = float(case[3])
    notes, _ = notes_by_track(midi_bytes(score, tempo, feel=feel, count_in_bars=0))
    heard, inside, rubs = beside(notes, "Chords")
    bars, distinct = drum_bars(notes, score)
    apart = stems(score, tempo, Playing(feel=feel))
    music = slice(round(apart.start_s * SAMPLE_RATE), None)
    lead, band = apart.lead[music], apart.backing[music]
    meter = pyloudnorm.Meter(SAMPLE_RATE)
    loud = {n: meter.integrated_loudness(part) for n, part in (("lead", lead), ("band", band))}
    mix = level(lead + band).samples.astype(np.float64)
    mid, side = mix.mean(axis=1), (mix[:, 0] - mix[:, 1]) / 2
    fine = scipy.signal.resample_poly(mix, 4, 1, axis=0)
    mono = np.stack([mid, mid], axis=1)
    return {
        "case": f"{case[0]}, {case[2]}, {feel} {tempo:g}",
        "notes": heard,
        "inside": inside,
        "rubs": rubs,
        "band_lu": loud["band"] - loud["lead"],
        "side_db": db(float(np.mean(side**2))) - db(float(np.mean(mid**2))),
        "mono_lu": meter.integrated_loudness(mono) - meter.integrated_loudness(mix),
        "drum_bars": bars,
        "distinct": distinct,
        "swing_ms": swing_ms(notes, score, tempo),
        "range_lu": meter.loudness_range(mix),
        "peak_dbtp": 20 * math.log10(float(np.abs(fine).max())),
    }


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--only", type=int, default=len(CASES))
    parser.add_argument("--json", type=Path)
    asked = parser.parse_args()
    rows = []
    for case in CASES[: asked.only]:
        try:
            feel = feel_named(case[6]).name
        except Exception:
            feel = case[7]
        row = measured(case, feel)
        rows.append(row)
        swing = "-" if row["swing_ms"] is None else f"{row['swing_ms']:.0f} ms"
        print(
            f"{row['case']:<38} inside {100 * row['inside'] / row['notes']:3.0f} %,"
            f" rubs {100 * row['rubs'] / row['notes']:3.0f} %, band {row['band_lu']:+5.1f} LU,"
            f" side {row['side_db']:5.1f} dB, mono {row['mono_lu']:+4.1f} LU,"
            f" drum bars {row['distinct']}/{row['drum_bars']}, swing {swing},"
            f" range {row['range_lu']:.1f} LU, peak {row['peak_dbtp']:.1f} dBTP",
            flush=True,
        )
    total = {key: sum(row[key] for row in rows) for key in ("notes", "inside", "rubs")}
    swings = [row["swing_ms"] for row in rows if row["swing_ms"] is not None]

    def spread(key: str) -> str:
        values = [row[key] for row in rows]
        return f"{min(values):.1f} to {max(values):.1f}, median {np.median(values):.1f}"

    print(f"lead notes inside the voicing: {100 * total['inside'] / total['notes']:.1f} %")
    print(f"a semitone from it: {100 * total['rubs'] / total['notes']:.1f} %")
    for key in ("band_lu", "side_db", "mono_lu", "range_lu", "peak_dbtp"):
        print(f"{key}: {spread(key)}")
    with_drums = [row for row in rows if row["drum_bars"]]
    same = sum(row["drum_bars"] - row["distinct"] for row in with_drums)
    print(f"drum bars that repeat another: {same} of {sum(r['drum_bars'] for r in with_drums)}")
    print(f"widest gap of line and cymbal on off-beats: {max(swings, default=0):.1f} ms")
    if asked.json:
        asked.json.write_text(json.dumps(rows, indent=1) + "\n", "utf-8")


if __name__ == "__main__":
    main()
