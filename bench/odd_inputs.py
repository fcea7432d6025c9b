"""Try every parser with odd inputs: no traceback, no hang, no memory without bound.

    python bench/odd_inputs.py [--inputs 24000] [--only TARGET] [--seed 2] [--memory-mb 1500]

Each parser is tried in a process of its own whose memory is limited.  A failing input is written
down whole, so that it can become a test.
"""

from __future__ import annotations

import argparse
import multiprocessing
import resource
import sys
import time
import traceback
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from fuzz.mutate import inputs
from fuzz.targets import TARGETS, Target
from fuzz.watch import HangError, accepts

#: A parser may keep so much of the inputs it has seen (its caches), in MB.
KEPT_MB = 300


def _peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def _fault(error: BaseException) -> str:
    """What makes two faults the same: their kind and where they came from."""
    frames = traceback.extract_tb(error.__traceback__)
    ours = [frame for frame in frames if "lickwright" in frame.filename] or list(frames)
    place = f"{Path(ours[-1].filename).name}:{ours[-1].lineno}" if ours else "nowhere"
    return f"{type(error).__name__} at {place}: {str(error)[:100]!r}"


def try_target(name: str, count: int, seed: int, memory_mb: int) -> None:
    """Try one target and print its line, and each new kind of fault."""
    target = next(target for target in TARGETS if target.name == name)
    seeds = target.seeds()
    before = _peak_mb()
    limit = memory_mb * 1024 * 1024
    resource.setrlimit(resource.RLIMIT_AS, (limit, limit))
    faults: Counter[str] = Counter()
    taken, slowest, started = 0, 0.0, time.perf_counter()
    for text in inputs(seeds, target.words, count, seed):
        begun = time.perf_counter()
        try:
            taken += accepts(target.parse, text)
        except (Exception, HangError) as error:
            fault = _fault(error)
            if fault not in faults:
                print(f"  {name}: {fault}\n    input: {text[:2000]!r}", flush=True)
            faults[fault] += 1
        slowest = max(slowest, time.perf_counter() - begun)
    grown = _peak_mb() - before
    print(
        f"{name:20} {count:7} {taken:7} {count - taken:8} {sum(faults.values()):7}"
        f" {1000 * slowest:11.0f} {grown:9.0f} {time.perf_counter() - started:7.0f}",
        flush=True,
    )
    sys.exit(1 if faults or grown > KEPT_MB else 0)


def _count(target: Target, count: int) -> int:
    return max(50, int(count * target.weight))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--inputs", type=int, default=24_000)
    parser.add_argument("--only", choices=[target.name for target in TARGETS])
    parser.add_argument("--seed", type=int, default=2)
    parser.add_argument("--memory-mb", type=int, default=1_500)
    given = parser.parse_args()
    print(
        f"{'parser':20} {'inputs':>7} {'taken':>7} {'refused':>8} {'faults':>7}"
        f" {'slowest ms':>11} {'grown MB':>9} {'s':>7}"
    )
    failed = False
    for target in TARGETS:
        if given.only not in (None, target.name):
            continue
        count = _count(target, given.inputs)
        process = multiprocessing.get_context("spawn").Process(
            target=try_target, args=(target.name, count, given.seed, given.memory_mb)
        )
        process.start()
        process.join()
        failed = failed or process.exitcode != 0
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
