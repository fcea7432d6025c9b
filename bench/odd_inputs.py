"""Try every parser with inputs that get in: no traceback, no hang, no gigabyte.

    make soak
    python bench/odd_inputs.py [--inputs 24000] [--only TARGET] [--start 2] [--minutes 60]

Most inputs mean something, some have one thing bent, a few are damaged past knowing.  Each parser
is tried in a process of its own whose memory is limited; an input that keeps the processor for more
than five seconds is a fault.  A failing input is written down whole, so that it can become a test.
The last column says how many examples of the lessons that were read became a Score.
"""

from __future__ import annotations

import argparse
import faulthandler
import multiprocessing
import resource
import sys
import time
import traceback
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "tests"))

from fuzz.laws import EXAMPLES
from fuzz.targets import TARGETS
from fuzz.trial import TOGETHER, each_input
from fuzz.watch import BLOCKED_S, HANG_S, MEMORY_BYTES, accepts, memory_limit

#: Where no timer of Python's can stop an input, the process ends after so long, with its place.
DEAD_S = 2 * BLOCKED_S


class OutOfTimeError(BaseException):
    """The minutes are over; no parser may catch this."""


class Tally:
    """What became of the inputs of one parser."""

    def __init__(self, name: str, until: float) -> None:
        self.target = next(target for target in TARGETS if target.name == name)
        self.until = until
        self.tried = self.taken = 0
        self.slowest_s = 0.0
        self.faults: Counter[str] = Counter()

    def use(self, text: str) -> None:
        """Give one input to the parser, and write a new kind of fault down."""
        if time.monotonic() > self.until:
            raise OutOfTimeError
        faulthandler.dump_traceback_later(DEAD_S, exit=True)
        self.tried += 1
        begun = time.process_time()
        try:
            self.taken += accepts(self.target.parse, text, HANG_S)
        except Exception as error:  # whatever it is, it is what is looked for
            fault = _fault(error)
            if fault not in self.faults:
                print(f"  {self.target.name}: {fault}\n    input: {text!r}", flush=True)
            self.faults[fault] += 1
        self.slowest_s = max(self.slowest_s, time.process_time() - begun)


def _fault(error: BaseException) -> str:
    """What makes two faults the same: their kind and where they came from."""
    frames = traceback.extract_tb(error.__traceback__)
    ours = [frame for frame in frames if "lickwright" in frame.filename] or list(frames)
    last = [ours[-1], frames[-1]]
    places = dict.fromkeys(f"{Path(frame.filename).name}:{frame.lineno}" for frame in last)
    return f"{type(error).__name__} at {', '.join(places)}: {str(error)[:100]!r}"


def try_target(name: str, count: int, start: int, until: float) -> None:
    """Try one target and print its line."""
    tally, begun = Tally(name, until), time.monotonic()
    with memory_limit():
        # In small parts, so that a run that is cut short has whole ones behind it.
        for part in range(0, count, TOGETHER):
            try:
                each_input(
                    tally.target,
                    min(TOGETHER, count - part),
                    start * 1_000 + part // TOGETHER,
                    tally.use,
                    shrink=False,
                )
            except OutOfTimeError:
                break
    faulthandler.cancel_dump_traceback_later()
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    read, worked = (
        sum(EXAMPLES[key] for key in EXAMPLES if word in key) for word in (" read", "worked")
    )
    print(
        f"{name:20} {tally.tried:7} {tally.taken / max(1, tally.tried):6.0%}"
        f" {sum(tally.faults.values()):7} {1000 * tally.slowest_s:11.0f} {peak / 1e6:8.0f}"
        f" {time.monotonic() - begun:7.0f} {f'{worked} of {read}' if read else '':>16}",
        flush=True,
    )
    sys.exit(1 if tally.faults or peak > MEMORY_BYTES or tally.taken * 2 < tally.tried else 0)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--inputs", type=int, default=24_000)
    parser.add_argument("--only", choices=[target.name for target in TARGETS], action="append")
    parser.add_argument("--start", type=int, default=2, help="another number, other inputs")
    parser.add_argument("--minutes", type=float, default=1e6, help="the longest for one parser")
    given = parser.parse_args()
    print(
        f"{'parser':20} {'inputs':>7} {'taken':>6} {'faults':>7} {'slowest ms':>11} {'peak MB':>8}"
        f" {'s':>7} {'Scores':>16}"
    )
    failed = False
    for target in TARGETS:
        if given.only and target.name not in given.only:
            continue
        process = multiprocessing.get_context("spawn").Process(
            target=try_target,
            args=(
                target.name,
                given.inputs,
                given.start,
                time.monotonic() + 60 * given.minutes,
            ),
        )
        process.start()
        process.join()
        failed = failed or process.exitcode != 0
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
