"""How fast is a folder of lessons built: on one core, on all, on a local Dask cluster; and again?

    python bench/batch.py [--lessons 200] [--workers 2] [--without-cluster]

Every lesson is a small one of its own.  Then a batch is killed half-way and started again: what
was done before is counted by the time at which its files were written.
"""

from __future__ import annotations

import argparse
import os
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from lickwright.processes import ONE_THREAD
from lickwright.publish.batch.plan import BatchReport, build_folder
from lickwright.publish.manifest import MANIFEST_NAME

LESSON = """\
lesson: Small Lesson {number}
number: {number}
key: D dorian
tempo: {{slow: 80, target: {tempo}}}
examples:
  - name: The pair
    triads: [F, Am]
    over: D
    frets: {low}-{high}
    rhythm: {rhythm}
"""
BUILD = """\
import sys
from lickwright.publish.batch.plan import build_folder

build_folder(sys.argv[1], sys.argv[2], workers=int(sys.argv[3]))
"""
RHYTHMS = ("16ths", "8th triplets", "sextuplets", "8ths")


def write_lessons(folder: Path, count: int) -> None:
    folder.mkdir()
    for number in range(1, count + 1):
        low = 3 + number % 8
        text = LESSON.format(
            number=number,
            tempo=100 + number % 40,
            low=low,
            high=low + 7,
            rhythm=RHYTHMS[number % len(RHYTHMS)],
        )
        (folder / f"lesson-{number:03}.yaml").write_text(text, encoding="utf-8")


def timed(
    name: str, folder: Path, out: Path, workers: int | None = None, scheduler: str | None = None
) -> float:
    started, spent = time.perf_counter(), cpu_s()
    report = build_folder(folder, out, workers=workers, scheduler=scheduler)
    took, cpu = time.perf_counter() - started, cpu_s() - spent
    each = f"{took / len(report.lessons):.2f} s a lesson, {cpu:.0f} s of processor"
    print(f"{name:34} {took:7.1f} s  {each:38}  {_said(report)}")
    return took


def cpu_s() -> float:
    """Processor time of this process and of those that it started and that are done."""
    times = os.times()
    return times.user + times.system + times.children_user + times.children_system


def _said(report: BatchReport) -> str:
    return str(report).splitlines()[-1]


def killed_and_resumed(folder: Path, out: Path, workers: int, after_s: float) -> None:
    """Kill a batch with all its processes, start it again, and see what was built twice."""
    command = [sys.executable, "-c", BUILD, str(folder), str(out), str(workers)]
    process = subprocess.Popen(command, start_new_session=True)
    time.sleep(after_s)
    os.killpg(process.pid, signal.SIGKILL)
    process.wait()
    done = {
        path: path.stat().st_mtime_ns
        for path in out.rglob(MANIFEST_NAME)
        if not path.parent.name.startswith(".")
    }
    timed(f"resumed ({len(done)} were done when killed)", folder, out, workers)
    again = sum(path.stat().st_mtime_ns != when for path, when in done.items())
    print(f"{'of these built again':34} {again:7}")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--lessons", type=int, default=200)
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--without-cluster", action="store_true")
    given = parser.parse_args()
    os.environ |= dict.fromkeys(ONE_THREAD, "1")  # as the workers of a batch have it
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "lessons"
        write_lessons(folder, given.lessons)
        one = timed("one process", folder, Path(place) / "one", 1)
        many = timed(f"{given.workers} processes", folder, Path(place) / "many", given.workers)
        print(f"{'speed-up':34} {one / many:7.2f}")
        timed("again, nothing changed", folder, Path(place) / "many", given.workers)
        if not given.without_cluster:
            import dask
            from distributed import LocalCluster

            # Dask has its workers give memory back at once, which costs half as much time again.
            dask.config.set({"distributed.nanny.pre-spawn-environ": dict.fromkeys(ONE_THREAD, 1)})
            with LocalCluster(
                n_workers=given.workers, threads_per_worker=1, dashboard_address=None
            ) as cluster:
                dask = timed(
                    f"Dask, {given.workers} workers",
                    folder,
                    Path(place) / "dask",
                    scheduler=cluster.scheduler_address,
                )
            print(f"{'speed-up':34} {one / dask:7.2f}")
        killed_and_resumed(folder, Path(place) / "killed", given.workers, many / 2)


if __name__ == "__main__":
    main()
