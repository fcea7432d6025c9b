"""Break the modules that carry promises, one small break at a time, and see whether a test fails.

The breaks (mutants) are Cosmic Ray's; this script only runs them quickly.  Cosmic Ray itself
starts a fresh interpreter for each mutant, which costs seconds here; this script collects the
tests once and forks, puts the broken module in the place of the sound one, and runs them: each
mutant costs its own tests and no more.  So tests must not make values of the module under test
while they are collected: those would be of the sound one.

A mutant runs against the tests of its own module (:data:`MODULES`), with a limit of processor
time.  What has been tried is kept in ``.mutants``: a run that was stopped goes on where it was,
and one whose tests changed tries again what survived.

    python tools/mutants.py                    # every module
    python tools/mutants.py hands/practice     # those whose path holds the words
    python tools/mutants.py --fresh            # all mutants again
    python tools/mutants.py --sample 30        # of each module so many more, spread over it
    python tools/mutants.py --show             # the survivors, and no run
    python tools/mutants.py --page             # docs/mutants.md, from the books
"""

from __future__ import annotations

import argparse
import ast
import gc
import hashlib
import importlib
import json
import os
import pickle
import resource
import signal
import sys
import time
import tomllib
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import CodeType, FrameType, ModuleType
from typing import Any, NoReturn

ROOT = Path(__file__).resolve().parent.parent
SOURCE = ROOT / "src" / "lickwright"
BOOKS = ROOT / ".mutants"
PAGE = ROOT / "docs" / "mutants.md"
#: Why a survivor is let live: module, its line as it stands, what became of it, the reason.
REASONS = ROOT / "tools" / "survivors.toml"

#: Modules that carry promises, with the tests that must notice when one is broken.
MODULES: dict[str, tuple[str, ...]] = {
    "publish/manifest": ("floor/test_manifest.py",),
    "publish/versions": ("floor/test_versions.py",),
    "publish/staging": ("floor/test_staging.py",),
    "publish/building": ("floor/test_building.py",),
    "take/report": ("floor/test_take_report.py",),
    "take/judging/check": ("floor/test_take_verdict.py",),
    "take/judging/words": ("floor/test_take_words.py",),
    "sound/midi": ("floor/test_midi_order.py",),
    "sound/band/backing": ("floor/test_band.py",),
    "sound/band/voicing": ("floor/test_band.py",),
    "sound/band/feel": ("floor/test_band.py",),
    "lick/hands/tempo": ("floor/test_tempo_ceilings.py",),
    "lick/hands/practice": ("floor/test_practice_plan.py",),
    "lick/hands/player": ("floor/test_tempo_ceilings.py",),
    "lick/picking/check": ("floor/test_stroke_promises.py",),
    "lick/picking/slurs": ("floor/test_swing.py", "lick/test_strokes.py"),
    "lick/picking/swing": ("floor/test_swing.py",),
    "neck/shapes/joins": ("floor/test_shape_joins.py",),
    "changes/lines/joins": ("floor/test_line_joins.py",),
    "theory/hearing/strength": ("floor/test_strength.py",),
    "score/notation/staff": ("floor/test_staff.py",),
    "video/frames/clock": ("floor/test_film_clock.py",),
}

#: One replacement for each operator, and the two neighbours of each comparison: the dozen others
#: that the tool offers die of the same test, or mean the same.
_SWAPS = (
    *(f"core/ReplaceBinaryOperator_{pair}" for pair in ("Add_Sub", "Sub_Add", "Mul_Div")),
    *(f"core/ReplaceBinaryOperator_{pair}" for pair in ("Div_Mul", "FloorDiv_Mul", "Mod_Mul")),
    *(f"core/ReplaceBinaryOperator_{pair}" for pair in ("Pow_Mul", "LShift_RShift")),
    *(f"core/ReplaceBinaryOperator_{pair}" for pair in ("RShift_LShift", "BitOr_BitAnd")),
    *(f"core/ReplaceBinaryOperator_{pair}" for pair in ("BitAnd_BitOr", "BitXor_BitAnd")),
    *(f"core/ReplaceComparisonOperator_{pair}" for pair in ("Eq_NotEq", "NotEq_Eq")),
    *(f"core/ReplaceComparisonOperator_{pair}" for pair in ("Lt_LtE", "Lt_GtE", "LtE_Lt")),
    *(f"core/ReplaceComparisonOperator_{pair}" for pair in ("LtE_Gt", "Gt_GtE", "Gt_LtE")),
    *(f"core/ReplaceComparisonOperator_{pair}" for pair in ("GtE_Gt", "GtE_Lt")),
    *(f"core/ReplaceComparisonOperator_{pair}" for pair in ("Is_IsNot", "IsNot_Is")),
    "core/ReplaceUnaryOperator_USub_UAdd",
    "core/ReplaceUnaryOperator_Delete_Not",
    "core/AddNot",
    "core/ReplaceTrueWithFalse",
    "core/ReplaceFalseWithTrue",
    "core/ReplaceAndWithOr",
    "core/ReplaceOrWithAnd",
    "core/ReplaceBreakWithContinue",
    "core/ReplaceContinueWithBreak",
    "core/ExceptionReplacer",
    "core/NumberReplacer",
    "core/RemoveDecorator",
    "core/ZeroIterationForLoop",
)
#: A mutant may use this many times the processor time of the sound module, and this much at least.
_TIMES_CLEAN, _LEAST_S = 5, 10
#: Waiting costs no processor time: it ends here.
_LONGEST_WALL_S = 120.0


@dataclass(frozen=True, slots=True)
class Mutant:
    """One break: where it is, what the line was, what it became."""

    module: str
    key: str
    operator: str
    line: int
    was: str
    became: str
    source: str


@dataclass(frozen=True, slots=True)
class Score:
    """What became of the mutants of a module."""

    module: str
    killed: int
    survivors: tuple[Mutant, ...]
    untested: tuple[Mutant, ...]
    waiting: int

    @property
    def tried(self) -> int:
        return self.killed + len(self.survivors) + len(self.untested)

    @property
    def share(self) -> float:
        return self.killed / self.tried if self.tried else 0.0


# ------------------------------------------------------------------------------------- mutants


def mutants(module: str) -> list[Mutant]:
    """Every break of a module that changes what it does (one in an annotation does not)."""
    from cosmic_ray.ast import ast_nodes, get_ast
    from cosmic_ray.mutating import MutationVisitor
    from cosmic_ray.plugins import get_operator

    text = _path(module).read_text("utf-8")
    tree = get_ast(text)
    kept = pickle.dumps(tree)  # read back for each mutant, ten times quicker than parsing
    plain, seen = _meaning(text), set()
    found = []
    for name in _SWAPS:
        operator = get_operator(name)()
        places = [place for node in ast_nodes(tree) for place in operator.mutation_positions(node)]
        for occurrence, (start, _) in enumerate(places):
            source = MutationVisitor(occurrence, operator).walk(pickle.loads(kept)).get_code()
            meaning = _meaning(source)
            if meaning is None or meaning == plain or meaning in seen:
                continue
            seen.add(meaning)
            line = start[0]
            was, became = _changed(text, source, line)
            key = f"{name}:{occurrence}"
            found.append(Mutant(module, key, name.split("/")[1], line, was, became, source))
    return sorted(found, key=lambda mutant: (mutant.line, mutant.key))


class _WithoutAnnotations(ast.NodeTransformer):
    def visit_arg(self, node: ast.arg) -> ast.arg:
        node.annotation = None
        return node

    def visit_FunctionDef(self, node: ast.FunctionDef) -> ast.AST:
        node.returns = None
        return self.generic_visit(node)

    def visit_AnnAssign(self, node: ast.AnnAssign) -> ast.AST:
        node.annotation = ast.Constant(None)
        return self.generic_visit(node)


def _meaning(text: str) -> str | None:
    try:
        return ast.dump(_WithoutAnnotations().visit(ast.parse(text)))
    except SyntaxError:
        return None


def _changed(text: str, source: str, line: int) -> tuple[str, str]:
    before, after = text.splitlines(), source.splitlines()
    was = before[line - 1].strip()
    became = after[line - 1].strip() if len(after) == len(before) else "(left out)"
    return was, became


# ----------------------------------------------------------------------------------------- runs


class _Trial:
    """A plugin of pytest: it lets the tests be collected once, and runs them once a fork."""

    def __init__(
        self,
        module: str,
        jobs: Sequence[Mutant],
        lines_are: Callable[[set[int]], None],
        done: Callable[[Mutant, bool], None],
    ) -> None:
        self.module, self.jobs = module, jobs
        self.lines_are, self.done = lines_are, done
        self.said = "its tests could not be collected"

    def pytest_addoption(self, parser: Any) -> None:
        """Failures are not read: the quickest way to write them."""
        parser.addoption("--failures", dest="tbstyle", default="native")

    def pytest_runtestloop(self, session: Any) -> bool:
        path = _path(self.module)
        gc.freeze()  # what is collected here need not be looked at in every fork
        gc.disable()
        read, write = os.pipe()
        child = os.fork()
        if not child:
            os.close(read)
            _watch_lines(path, write)
            self._run(session, path.read_text("utf-8"), 10_000)
        os.close(write)
        with os.fdopen(read) as heard:
            lines = {int(word) for word in heard.read().split()}
        verdict, used = _wait(child, 600.0)
        self.said = "" if verdict == 0 else "its tests fail before anything is broken"
        if verdict != 0:
            return True
        self.lines_are(lines)
        limit = max(_LEAST_S, int(_TIMES_CLEAN * used) + 1)
        for mutant in self.jobs:
            child = os.fork()
            if not child:
                self._run(session, mutant.source, limit)
            verdict, _ = _wait(child, _LONGEST_WALL_S)
            self.done(mutant, verdict != 0)
        return True

    def _run(self, session: Any, source: str, processor_s: int) -> NoReturn:
        """In a child: put the source in the module's place, run the tests, and end."""
        verdict = 1
        try:
            resource.setrlimit(resource.RLIMIT_CPU, (processor_s, processor_s))
            if not os.environ.get("MUTANTS_LOUD"):
                nowhere = os.open(os.devnull, os.O_RDWR)
                os.dup2(nowhere, 1)
                os.dup2(nowhere, 2)
            _put(self.module, source)
            for item, after in zip(session.items, [*session.items[1:], None], strict=True):
                item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
                if session.testsfailed:
                    break
            verdict = 1 if session.testsfailed else 0
        finally:
            for last in _AT_END:
                last()
            os._exit(verdict)


def _put(module: str, source: str) -> None:
    """Run a module's source anew, and hand what it defines to all who had taken it from there."""
    there = sys.modules["lickwright." + module.replace("/", ".")]
    before = {id(value): name for name, value in vars(there).items() if _is_its_own(value, there)}
    exec(compile(source, str(_path(module)), "exec"), there.__dict__)
    now = vars(there)
    for other in list(sys.modules.values()):
        names = getattr(other, "__dict__", None)
        if names is None or other is there or not _is_ours(other):
            continue
        for name, value in list(names.items()):
            if id(value) in before:
                names[name] = now.get(before[id(value)], value)


def _is_its_own(value: object, module: ModuleType) -> bool:
    """Whether a value was made by the module: small numbers and the like are everybody's."""
    if getattr(value, "__module__", None) == module.__name__:
        return True
    return isinstance(value, (dict, list, tuple, frozenset, float)) and bool(value)


def _is_ours(module: ModuleType) -> bool:
    path = getattr(module, "__file__", None) or ""
    return path.startswith((str(SOURCE), str(ROOT / "tests")))


def run(
    module: str,
    jobs: Sequence[Mutant],
    lines_are: Callable[[set[int]], None],
    done: Callable[[Mutant, bool], None],
) -> None:
    """Try mutants, each in a fork that stands where the tests are collected.

    ``lines_are`` is told the lines that the tests run, ``done`` of each mutant whether it died.

    Raises
    ------
    SoundFailsError
        When the tests fail on sound code.
    """
    import pytest

    trial = _Trial(module, jobs, lines_are, done)
    importlib.import_module("lickwright." + module.replace("/", "."))
    options = [
        "-c",
        os.devnull,
        "--rootdir",
        str(ROOT),
        "--import-mode=importlib",
        "-s",
        "-x",
    ]
    plugins = ("terminal", "cacheprovider", "xdist", "anyio", "faulthandler", "junitxml")
    off = [part for name in plugins for part in ("-p", f"no:{name}")]
    pytest.main([*options, *off, *(str(path) for path in _tests(module))], plugins=[trial])
    if trial.said:
        raise SoundFailsError(f"{module}: {trial.said}")


class SoundFailsError(Exception):
    """Tests that fail although nothing is broken: nothing can be learnt from them."""


_AT_END: list[Callable[[], None]] = []


def _watch_lines(path: Path, write: int) -> None:
    """Note which lines of a file run, and write them when the tests are over."""
    seen: set[int] = set()
    where = str(path)

    def local(frame: FrameType, event: str, _: object) -> Any:
        if event == "line":
            seen.add(frame.f_lineno)
        return local

    def every(frame: FrameType, event: str, _: object) -> Any:
        code: CodeType = frame.f_code
        if code.co_filename != where:
            return None
        seen.add(frame.f_lineno)
        return local

    def last() -> None:
        sys.settrace(None)
        with os.fdopen(write, "w") as out:
            out.write(" ".join(map(str, sorted(seen))))

    sys.settrace(every)
    _AT_END.append(last)


def _wait(child: int, wall_s: float) -> tuple[int, float]:
    """A child's verdict and its processor time; one that takes too long is ended."""
    until, pause = time.monotonic() + wall_s, 0.002
    while True:
        ended, status, used = os.wait4(child, os.WNOHANG)
        if ended:
            return os.waitstatus_to_exitcode(status), used.ru_utime + used.ru_stime
        if time.monotonic() > until:
            os.kill(child, signal.SIGKILL)
        time.sleep(pause)
        pause = min(0.05, pause * 1.2)


# ---------------------------------------------------------------------------------------- books


def _path(module: str) -> Path:
    return SOURCE / f"{module}.py"


def _tests(module: str) -> list[Path]:
    return [ROOT / "tests" / name for name in (*MODULES[module], "floor/test_values.py")]


def _digest(*texts: str) -> str:
    return hashlib.sha256("\0".join(texts).encode()).hexdigest()[:16]


class Book:
    """What has been tried of a module, one line a mutant.

    A kill holds as long as the module stands as it is; a survivor must be tried again as soon as
    the tests change.
    """

    def __init__(self, module: str, fresh: bool = False) -> None:
        BOOKS.mkdir(exist_ok=True)
        self.module = module
        self.found = mutants(module)
        self._path = BOOKS / f"{module.replace('/', '.')}.jsonl"
        self._source = _digest(_path(module).read_text("utf-8"), *_SWAPS)
        self._tests = _digest(*(path.read_text("utf-8") for path in _tests(module)))
        if fresh:
            self._path.unlink(missing_ok=True)
        self._known: dict[str, bool] = {}
        self._again: set[str] = set()  # survivors of other tests: they count until tried again
        self._lines: set[int] = set()
        for entry in map(
            json.loads, self._path.read_text().splitlines() if self._path.exists() else ()
        ):
            if entry["source"] != self._source:
                continue
            if "lines" in entry:
                self._lines = set(entry["lines"])
            else:
                self._known[entry["key"]] = entry["killed"]
                stale = not entry["killed"] and entry["tests"] != self._tests
                (self._again.add if stale else self._again.discard)(entry["key"])

    def open_jobs(self) -> list[Mutant]:
        """What was never tried, and what survived other tests than today's."""
        return [one for one in self.found if one.key not in self._known or one.key in self._again]

    def _write(self, **entry: object) -> None:
        with self._path.open("a") as out:
            out.write(json.dumps({"source": self._source, "tests": self._tests, **entry}) + "\n")

    def note(self, mutant: Mutant, killed: bool) -> None:
        self._known[mutant.key] = killed
        self._again.discard(mutant.key)
        self._write(key=mutant.key, killed=killed)

    def note_lines(self, lines: Iterable[int]) -> None:
        self._lines = set(lines)
        self._write(lines=sorted(self._lines))

    def score(self) -> Score:
        reached = _reached(_path(self.module).read_text("utf-8"), self._lines)
        lived = [one for one in self.found if self._known.get(one.key) is False]
        return Score(
            self.module,
            sum(self._known.get(one.key) is True for one in self.found),
            tuple(one for one in lived if one.line in reached),
            tuple(one for one in lived if one.line not in reached),
            sum(one.key not in self._known for one in self.found),
        )


def _reached(text: str, lines: set[int]) -> set[int]:
    """All lines of the statements of which a line ran."""
    reached: set[int] = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.stmt):
            last = node.end_lineno or node.lineno
            body = getattr(node, "body", None)
            if isinstance(body, list) and body:
                last = max(node.lineno, body[0].lineno - 1)
            span = set(range(node.lineno, last + 1))
            if span & lines:
                reached |= span
    return reached


def try_module(module: str, fresh: bool, sample: int | None) -> Score:
    book = Book(module, fresh)
    jobs = book.open_jobs()
    if sample is not None:
        jobs = sorted(jobs, key=lambda one: _digest(one.key, one.became))[:sample]
    if jobs:
        began = time.monotonic()
        count = 0

        def done(mutant: Mutant, killed: bool) -> None:
            nonlocal count
            count += 1
            book.note(mutant, killed)
            if sys.stderr.isatty():
                print(f"\r{module} {count}/{len(jobs)}", end="", file=sys.stderr)

        run(module, jobs, book.note_lines, done)
        print(f"{module}: {len(jobs)} tried in {time.monotonic() - began:.0f} s")
    return book.score()


# ----------------------------------------------------------------------------------------- page


def reasons() -> dict[tuple[str, str, str], str]:
    """Why survivors are let live, by module, line and what it became."""
    if not REASONS.exists():
        return {}
    table = tomllib.loads(REASONS.read_text("utf-8"))
    return {
        (one["module"], one["was"], became): one["why"]
        for one in table.get("survivor", [])
        for became in one["became"]
    }


def page(scores: Sequence[Score]) -> str:
    """The table and the survivors, below the words that stand above the table already."""
    head = PAGE.read_text("utf-8").split("<!-- from here on by tools/mutants.py -->")[0]
    return head + "<!-- from here on by tools/mutants.py -->\n\n" + "\n".join(_rows(scores)) + "\n"


def _rows(scores: Sequence[Score]) -> Iterator[str]:
    yield "| module | mutants | tried | killed | survived | no test | killed of those tried |"
    yield "|---|---|---|---|---|---|---|"
    for one in scores:
        yield (
            f"| {one.module} | {one.tried + one.waiting} | {one.tried} | {one.killed}"
            f" | {len(one.survivors)}"
            f" | {len(one.untested)} | {100 * one.share:.0f} % |"
        )
    tried, killed = sum(one.tried for one in scores), sum(one.killed for one in scores)
    lived = sum(len(one.survivors) for one in scores)
    known = sum(one.tried + one.waiting for one in scores)
    yield f"| all | {known} | {tried} | {killed} | {lived} | {tried - killed - lived} |" + (
        f" {100 * killed / max(tried, 1):.0f} % |"
    )
    yield ""
    yield "## Survivors"
    why_of = reasons()
    for one in scores:
        lives = [*one.survivors, *one.untested]
        if lives:
            yield f"\n### {one.module}\n"
        for mutant in lives:
            why = why_of.get((mutant.module, mutant.was, mutant.became), "not yet looked at")
            yield f"- line {mutant.line}: `{mutant.was}` became `{mutant.became}`: {why}"


def main() -> None:
    read = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    read.add_argument("words", nargs="*", help="parts of module paths")
    read.add_argument("--fresh", action="store_true", help="forget what was tried")
    read.add_argument("--sample", type=int, help="try no more than so many of each module")
    read.add_argument("--show", action="store_true", help="print survivors, try nothing")
    read.add_argument("--page", action="store_true", help="write docs/mutants.md, try nothing")
    options = read.parse_args()
    chosen = [
        module
        for module in MODULES
        if not options.words or any(word in module for word in options.words)
    ]
    if options.page:
        PAGE.write_text(page([Book(module).score() for module in chosen]), "utf-8")
        return
    sys.path.insert(0, str(ROOT / "src"))
    failed = False
    for module in chosen:
        try:
            score = (
                Book(module).score()
                if options.show
                else try_module(module, options.fresh, options.sample)
            )
        except SoundFailsError as error:
            print(error)
            failed = True
            continue
        print(
            f"{module}: {score.killed} of {score.tried} killed ({100 * score.share:.1f} %),"
            f" {len(score.untested)} in code that no test runs, {score.waiting} waiting"
        )
        for mutant in (*score.survivors, *score.untested):
            mark = "no test" if mutant in score.untested else "survived"
            print(f"  {mark} {mutant.line}: {mutant.was}\n      -> {mutant.became}")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
