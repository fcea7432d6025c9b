"""How much memory and time does a take cost, beside its length?

Run with ``python bench/take_memory.py [MINUTES...]`` (1, 10 and 60 without any), some 4 GB of room
for files that are removed again.  A take is the demo's first example, played by our strings again
and again, with a little noise, as 24-bit FLAC (16-bit at 384 kHz).  Every case is
``lickwright take`` in a process of its own; memory is the most that was resident at once.  The peer
is a process that reads the whole file with ``soundfile.read`` and does nothing else.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[1]
LESSON = ROOT / "examples" / "two-triads-one-chord.yaml"
MINUTES = (1.0, 10.0, 60.0)
RATES_HZ = (44_100, 96_000, 384_000)
EXAMPLE = 1
_PEER = "import sys, soundfile; soundfile.read(sys.argv[1], dtype='float32')"


@dataclass(frozen=True, slots=True)
class Cost:
    """What a process took: seconds of a processor, and the most memory resident at once."""

    seconds: float
    megabytes: float
    status: int


def cost_of(*command: str) -> Cost:
    """Run a command; this process stays small, for a child counts its parent's memory as its own
    until it begins."""
    with subprocess.Popen(command, stdout=subprocess.DEVNULL) as process:
        _, status, usage = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    seconds = usage.ru_utime + usage.ru_stime
    return Cost(seconds, usage.ru_maxrss * 1024 / 1e6, process.returncode)


def write_take(path: str, rate_hz: int, minutes: float) -> None:
    """Write a take; runs in a process of its own."""
    import numpy as np
    import soundfile
    from scipy.signal import resample_poly

    from lickwright.lesson.compile.examples import Workshop
    from lickwright.lesson.file.reading import load_lesson
    from lickwright.sound.mix.rendering import Playing, lead_stem

    score = Workshop(load_lesson(LESSON)).worked(EXAMPLE - 1).score
    once = lead_stem(score, score.target_bpm, Playing(count_in_bars=1))
    once = once if once.ndim == 1 else once.mean(axis=1)
    once = resample_poly(np.append(once, np.zeros(44_100, np.float32)), rate_hz // 300, 147)
    once += 1e-4 * np.random.default_rng(1).standard_normal(len(once))
    subtype = "PCM_24" if rate_hz < 192_000 else "PCM_16"
    left = round(60.0 * minutes * rate_hz)
    with soundfile.SoundFile(path, "w", rate_hz, 1, subtype, format="FLAC") as file:
        while left > 0:
            file.write(once[:left])
            left -= len(once)


def main(lengths: list[float]) -> None:
    """Print the table."""
    print("| minutes | kHz | file MB | take MB | CPU s | times real time | whole file read, MB |")
    print("|---|---|---|---|---|---|---|")
    for minutes in lengths:
        for rate_hz in RATES_HZ:
            with tempfile.TemporaryDirectory() as folder:
                path = str(Path(folder) / "take.flac")
                write = cost_of(
                    sys.executable, __file__, "--write", path, f"{rate_hz}", f"{minutes}"
                )
                assert write.status == 0
                take = cost_of(
                    *(sys.executable, "-m", "lickwright", "take", str(LESSON), str(EXAMPLE), path)
                )
                peer = cost_of(sys.executable, "-c", _PEER, path)
                size = os.path.getsize(path) / 1e6
            assert take.status == 0
            read = f"{peer.megabytes:,.0f}" if peer.status == 0 else "killed"
            print(
                f"| {minutes:g} | {rate_hz / 1000:g} | {size:,.0f} | {take.megabytes:,.0f}"
                f" | {take.seconds:.1f} | {60 * minutes / take.seconds:.0f} | {read} |",
                flush=True,
            )


if __name__ == "__main__":
    if sys.argv[1:2] == ["--write"]:
        write_take(sys.argv[2], int(sys.argv[3]), float(sys.argv[4]))
    else:
        main([float(word) for word in sys.argv[1:]] or list(MINUTES))
