"""The demo build beside the libraries it cannot do without, and how fast the tool answers.

Run with ``python bench/build.py``.  Each line is measured in this run:

* *whole build*: ``build()`` of the demo into an empty folder, one process, imports included;
* *libraries alone*: the time spent inside their calls (and their imports) during that very build:
  engraving (verovio), typesetting (typst), the band (midirenderer), the plucked strings (our own
  synthesis, named apart), loudness (pyloudnorm), encoding (soundfile, av) and the pixels of the
  film (pillow);
* *two processes*: the build as the command line runs it;
* *nothing changed*: a second build after its imports;
* ``lickwright --help``, a fresh process, beside ``python -c pass``.
"""

from __future__ import annotations

import functools
import importlib
import json
import resource
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable
from pathlib import Path
from typing import Any

DEMO = Path(__file__).parent.parent / "examples" / "two-triads-one-chord.yaml"

#: Library -> (module, attribute path) of each of its entry points that a build calls.
ENTRY_POINTS = {
    "verovio": [("verovio", "toolkit.loadData"), ("verovio", "toolkit.renderToSVG")],
    "typst": [("typst", "compile")],
    "midirenderer": [("lickwright.sound.mix.bank", "sound_midi")],
    "plucked strings (ours)": [("lickwright.sound.mix.rendering", "lead_stem")],
    "pyloudnorm": [("pyloudnorm", "Meter.integrated_loudness")],
    "soundfile": [("soundfile", "write")],
    "av (film)": [
        ("lickwright.video.frames.encode", "Writer._encode"),
        # Each only hands the pixels over into a frame of the library's own.
        ("lickwright.video.frames.planes", "Yuv420Planes.frame"),
        ("lickwright.video.frames.planes", "ArgbPlanes.frame"),
    ],
    "pillow (film)": [("PIL.Image", "Image.convert"), ("PIL.Image", "Image.alpha_composite")],
}
IMPORTS = (
    "verovio",
    "typst",
    "markdown_it",
    "midirenderer",
    "mido",
    "scipy.signal",
    "pyloudnorm",
    "soundfile",
    "av",
    "PIL.Image",
)


def one_build() -> None:
    """Runs in a process of its own: prints the measures of one cold build as JSON."""
    spent: dict[str, float] = defaultdict(float)
    began = time.perf_counter()
    for name in IMPORTS:
        start = time.perf_counter()
        importlib.import_module(name)
        spent["imports"] += time.perf_counter() - start
    for library, points in ENTRY_POINTS.items():
        for module, path in points:
            _time_calls(importlib.import_module(module), path, spent, library)
    from lickwright import build, load_lesson

    with tempfile.TemporaryDirectory() as folder:
        lesson = load_lesson(DEMO)
        build(lesson, folder, workers=1)
        whole_s = time.perf_counter() - began
        libraries = dict(spent)
        start = time.perf_counter()
        build(load_lesson(DEMO), folder, workers=1)
        unchanged_s = time.perf_counter() - start
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(json.dumps([whole_s, libraries, unchanged_s, peak_mb]))


def _time_calls(owner: Any, path: str, spent: dict[str, float], library: str) -> None:
    *parents, name = path.split(".")
    for parent in parents:
        owner = getattr(owner, parent)
    inner: Callable[..., Any] = getattr(owner, name)

    @functools.wraps(inner)
    def timed(*args: Any, **kwargs: Any) -> Any:
        start = time.perf_counter()
        try:
            return inner(*args, **kwargs)
        finally:
            spent[library] += time.perf_counter() - start

    setattr(owner, name, timed)


def fresh(*words: str, repeat: int = 5) -> float:
    """Least wall time of a fresh process, in seconds."""
    times = []
    for _ in range(repeat):
        start = time.perf_counter()
        subprocess.run([sys.executable, *words], check=True, capture_output=True)
        times.append(time.perf_counter() - start)
    return min(times)


def main() -> None:
    runs = []
    for _ in range(3):
        done = subprocess.run(
            [sys.executable, __file__, "--one"], check=True, capture_output=True, text=True
        )
        runs.append(json.loads(done.stdout))
    whole_s, libraries, unchanged_s, peak_mb = min(runs, key=lambda run: run[0])
    alone_s = sum(libraries.values())
    print(f"whole build, one process      {whole_s:6.2f} s   peak memory {peak_mb:.0f} MB")
    for library, seconds in sorted(libraries.items(), key=lambda item: -item[1]):
        print(f"    {library:<26}{seconds:6.2f} s")
    print(f"libraries alone               {alone_s:6.2f} s   ratio {whole_s / alone_s:.2f}")
    with tempfile.TemporaryDirectory() as folder:
        start = time.perf_counter()
        command = [sys.executable, "-m", "lickwright", "build", str(DEMO), "-o", folder]
        subprocess.run(command, check=True, capture_output=True)
        print(f"two processes, cold           {time.perf_counter() - start:6.2f} s")
        again_s = fresh(*command[1:], repeat=3)
    print(f"nothing changed, after import {1000 * unchanged_s:6.0f} ms (process: {again_s:.2f} s)")
    help_s, empty_s = fresh("-m", "lickwright", "--help"), fresh("-c", "pass")
    print(
        f"lickwright --help             {1000 * help_s:6.0f} ms  (python {1000 * empty_s:.0f} ms)"
    )


if __name__ == "__main__":
    one_build() if sys.argv[1:] == ["--one"] else main()
