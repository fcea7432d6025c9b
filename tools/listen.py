"""A page to listen on: the same examples before and after a change of the sound.

``python tools/listen.py --before SRC`` sounds them twice, by the package in the folder ``SRC`` (the
``src`` of an older checkout) and with the one beside this file, and writes ``listen/index.html``.
Each is sounded in a process of its own, so that neither knows of the other.
"""

from __future__ import annotations

import argparse
import html
import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]

#: Name, key, changes, tempo, rhythm, frets, the feel, and the feel of old in its stead.
EXAMPLES = (
    ("Swing", "C ionian", "Dm9 | G13 | Cmaj9 | A7b9", 132, "8ths", "7-12", "swing", "shuffle"),
    ("Shuffle", "A mixolydian", "A9 | D9 | A9 | E9", 92, "8ths", "5-9", "shuffle", "shuffle"),
    (
        "Straight",
        "A aeolian",
        "Am9 | Fmaj9 | Dm9 | E7b9",
        88,
        "8ths",
        "5-9",
        "straight",
        "straight",
    ),
    (
        "Half-time",
        "E aeolian",
        "Em9 | Cmaj9 | G | D",
        72,
        "16ths",
        "7-12",
        "half-time",
        "half-time",
    ),
    ("Bossa", "Bb ionian", "Cm9 | F13 | Bbmaj9 | Gm9", 126, "8ths", "6-11", "bossa", "straight"),
    ("Funk", "E dorian", "Em9 | A13 | Em9 | A13", 96, "16ths", "7-12", "funk", "straight"),
    ("Held chords", "B dorian", "Bm9 | E13 | Bm9 | E13", 80, "16ths", "9-14", "chords", "chords"),
    ("Vamp", "F lydian", "Fmaj9#11 | G | Fmaj9#11 | G", 96, "8ths", "8-13", "vamp", "vamp"),
)

_SOUND = """
import json, sys
from pathlib import Path
from lickwright.lesson.compile import Workshop
from lickwright.lesson.file import load_lesson
from lickwright.sound.mix import Playing, audio_file, render
for path, feel, out in json.loads(sys.argv[1]):
    score = Workshop(load_lesson(Path(path))).worked(1).score
    wave = render(score, score.target_bpm, Playing(feel=feel))
    Path(out).write_bytes(audio_file(wave, "ogg").data)
"""


def lesson_of(example: tuple[object, ...], feel: str) -> str:
    """A lesson with a line carried over the changes of an example; JSON is YAML too."""
    name, key, changes, tempo, rhythm, frets, *_ = map(str, example)
    first = changes.split()[0]
    tonic = first[:2] if first[1:2] in ("b", "#") else first[:1]
    minor = first[len(tonic) :].startswith("m") and not first[len(tonic) :].startswith("maj")
    home = {"name": "Home", "triads": [tonic + "m" * minor], "over": tonic, "frets": frets}
    carried = {"name": name, "lick": "Home", "changes": f"{changes} | {changes}", "carry": "idea"}
    lesson = {
        "lesson": "Listen",
        "key": key,
        "tempo": {"slow": 40, "target": int(tempo)},
        "backing": feel,
        "examples": [home | {"rhythm": rhythm}, carried],
    }
    return json.dumps(lesson)


def sounded(source: Path, side: str, out: Path, folder: Path) -> None:
    """All examples as one package sounds them, into ``out``."""
    jobs = []
    for number, example in enumerate(EXAMPLES):
        feel = str(example[7 if side == "before" else 6])
        path = folder / f"{side}-{number}.yaml"
        path.write_text(lesson_of(example, feel), "utf-8")
        jobs.append([str(path), feel, str(out / f"{number}-{side}.ogg")])
    subprocess.run(
        [sys.executable, "-c", _SOUND, json.dumps(jobs)],
        check=True,
        env={**os.environ, "PYTHONPATH": str(source)},
    )


def page(sides: list[str]) -> str:
    """The page as HTML."""
    rows = []
    for number, example in enumerate(EXAMPLES):
        name, _, changes, tempo, *_ = map(str, example)
        players = "".join(
            f'<td><audio controls preload="none" src="{number}-{side}.ogg"></audio></td>'
            for side in sides
        )
        words = html.escape(f"{name}, {tempo}: {changes}")
        rows.append(f"<tr><th scope='row'>{words}</th>{players}</tr>")
    heads = "".join(f"<th scope='col'>{side}</th>" for side in sides)
    return (
        "<!doctype html><html lang='en'><meta charset='utf-8'><title>Listen</title>"
        "<style>body{font:1rem/1.5 sans-serif;margin:2rem}th{text-align:left;font-weight:400;"
        "padding-right:1rem}td{padding:.25rem}</style><h1>Listen</h1><p>All files are at -16 LUFS."
        " Keep them at a level that you can talk over, and rest your ears often.</p>"
        f"<table><tr><th>Example</th>{heads}</tr>{''.join(rows)}</table></html>\n"
    )


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--before", type=Path, help="the src folder of an older checkout")
    parser.add_argument("--out", type=Path, default=Path("listen"))
    asked = parser.parse_args()
    asked.out.mkdir(parents=True, exist_ok=True)
    sources = {"before": asked.before} if asked.before else {}
    sources["after"] = ROOT / "src"
    with tempfile.TemporaryDirectory() as folder:
        for side, source in sources.items():
            sounded(source, side, asked.out, Path(folder))
    (asked.out / "index.html").write_text(page(list(sources)), "utf-8")
    print(f"Open {asked.out / 'index.html'}")


if __name__ == "__main__":
    main()
