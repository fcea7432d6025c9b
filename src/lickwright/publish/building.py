"""From a lesson to its output folder, doing only what changed.

A build has a step for each example, one for the printed sheet and one for the index.  All the
music is worked out and checked first, so that an error stops the build before anything is made;
then the changed examples are made side by side, each in a process of its own; then everything is
published at once.

From its first look at the output folder to its last, a build holds the folder for itself.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Generator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any

from lickwright.errors import Finding, LessonError, OutputError
from lickwright.files import inside, read_plain, writing
from lickwright.lesson import Flaw, check_example, flaws
from lickwright.lesson.compile import Worked, Workshop, brought_along
from lickwright.lesson.file import Lesson
from lickwright.processes import done_apart, lost
from lickwright.publish.example_files import (
    MadeExample,
    Parts,
    Settings,
    make_example,
    parts_file,
    slug,
)
from lickwright.publish.manifest import BuildStep, digest, digest_of, engine, files_of, is_whole
from lickwright.publish.pages import settings_of, sheet_of, web_of
from lickwright.publish.staging import Staging, refuse_strangers, unsettled
from lickwright.publish.versions import ENTRY, Standing, standing, version_of, version_path

#: Told after each step: steps done, steps in all, what was done.
Progress = Callable[[int, int, str], None]

SHEET, INDEX, REPORT = "lesson.pdf", ENTRY, "report.json"

#: Keys of an example that change its words on the page, not its music.
_WORDS = frozenset({"text", "notes"})
#: Keys of the lesson that change the music of its examples.
_MUSIC = (
    "lesson",
    "guitar",
    "hand",
    "player",
    "key",
    "time",
    "tempo",
    "backing",
    "swing",
    "sound",
    "labels",
    "paper",
    "audio",
    "extras",
)


class UnsoundLessonError(LessonError):
    """A lesson whose checks found errors; ``findings`` holds all of them."""

    def __init__(self, findings: Sequence[Finding]) -> None:
        self.findings = tuple(findings)
        first = next(finding for finding in findings if finding.severity == "error")
        super().__init__(first.what, mend=first.mend, where=first.where)


@dataclass(frozen=True, slots=True)
class _Job:
    """One example to be made."""

    worked: Worked
    index: int
    settings: Settings

    def done(self) -> MadeExample:
        return make_example(self.worked, self.index, self.settings)


@dataclass(frozen=True, slots=True)
class BuildReport:
    """What a build did.

    Parameters
    ----------
    built, kept : names of the steps that were done, and of those that were up to date.
    findings : warnings, for the teacher's eyes.
    files : every file of the lesson, relative to the output folder.
    put_back : files that a build before had made and that were missing or changed under their
        plain names, in a build that had nothing else to do.
    """

    out: Path
    built: tuple[str, ...]
    kept: tuple[str, ...]
    findings: tuple[Finding, ...]
    files: tuple[str, ...]
    put_back: tuple[str, ...] = ()

    def as_data(self) -> dict[str, Any]:
        return {
            "out": str(self.out),
            "built": list(self.built),
            "kept": list(self.kept),
            "findings": [finding.as_data() for finding in self.findings],
            "files": list(self.files),
            "put_back": list(self.put_back),
        }


def build(
    lesson: Lesson,
    out: str | os.PathLike[str],
    *,
    progress: Progress | None = None,
    workers: int = 1,
) -> BuildReport:
    """Build everything a lesson ships.

    Parameters
    ----------
    lesson : as :func:`~lickwright.lesson.file.reading.load_lesson` reads it.
    out : the output folder, made where it is missing.
    progress : told after each step.
    workers : processes at once.  More than one are started fresh, so a script that asks for them
        must do so below ``if __name__ == "__main__":``.

    Raises
    ------
    UnsoundLessonError
        When a check finds an error; nothing is written.
    BusyError
        When another build is writing the folder.
    OutputError
        When the folder cannot be written, a stranger's file there is in the way, or a page cannot
        be set; the former lesson still stands.
    """
    return _Build(lesson, Path(out), progress, workers).run()


@dataclass
class _Build:
    """One run of a build."""

    lesson: Lesson
    out: Path
    progress: Progress | None
    workers: int
    steps: dict[str, BuildStep] = field(default_factory=dict)
    built: list[str] = field(default_factory=list)
    kept: list[str] = field(default_factory=list)
    _checked: dict[int, list[Finding]] = field(default_factory=dict)

    def run(self) -> BuildReport:
        if not self.out.exists():  # a lesson that is not sound makes no folder
            self._flaws(range(len(self._names)))
        with writing(self.out):
            return self._run()

    def _run(self) -> BuildReport:
        plan = {name: self._example_inputs(index) for index, name in enumerate(self._names)}
        for name, inputs in plan.items():
            self._keep(name, inputs)
        stale = [index for index, name in enumerate(self._names) if name not in self.steps]
        flaws_of = self._flaws(stale)
        findings = tuple(
            flaw.finding(self.lesson, index)
            for index, name in enumerate(self._names)
            for flaw in (flaws_of[index] if index in flaws_of else _flaws_in(self.steps[name]))
        )
        sheet_inputs = self._sheet_inputs(plan)
        index_inputs = digest_of([sheet_inputs, [finding.as_data() for finding in findings]])
        if not stale:
            self._keep(SHEET, sheet_inputs)
            self._keep(INDEX, index_inputs)
        if SHEET in self.steps and INDEX in self.steps:
            return self._report(findings, self._put_back())
        refuse_strangers(self.out, (SHEET, INDEX, REPORT), self._stands)
        self._total = len(stale) + (SHEET not in self.steps) + (INDEX not in self.steps)
        with Staging(self.out, self._stands) as staging:
            made = self._make_examples(stale, plan, flaws_of, staging)
            parts = [made.get(index) or self._parts(index) for index in range(len(self._names))]
            self._make_pages(parts, findings, sheet_inputs, index_inputs, staging)
            staging.publish(self.steps)
        return self._report(findings)

    def _put_back(self) -> tuple[str, ...]:
        """Let every plain name stand for the version again, where nothing else is to do."""
        lost: list[str] = []
        if version_of(self.steps) == self._stands.version:
            lost = unsettled(self.out, self.steps)
            if not lost:
                return ()
        with Staging(self.out, self._stands) as staging:
            staging.publish(self.steps)
        return tuple(name for name in lost if not name.startswith("."))

    # --- what is up to date ---------------------------------------------------------------------

    @cached_property
    def _stands(self) -> Standing:
        return standing(self.out)

    @cached_property
    def _home(self) -> Path:
        """The folder of the version that stands; where none does, no step asks for it."""
        return inside(self.out, version_path(self._stands.version or "none"))

    @cached_property
    def _names(self) -> list[str]:
        return [slug(index, entry.name) for index, entry in enumerate(self.lesson.examples)]

    def _keep(self, name: str, inputs: str) -> None:
        """Keep a step whose inputs and files are as they were."""
        step = self._stands.steps.get(name)
        if step is not None and step.inputs == inputs and is_whole(self._home, step):
            self.steps[name] = step
            self.kept.append(name)

    def _example_inputs(self, index: int) -> str:
        """The hash of all that an example's files follow from."""
        raw = self.lesson.raw
        follows_from, told = [index], {index}
        for at in follows_from:  # which grows as it is read
            follows_from += sorted(set(brought_along(self.lesson, at)) - told)
            told.update(follows_from)
        chain = [
            [at, {key: value for key, value in raw["examples"][at].items() if key not in _WORDS}]
            for at in follows_from
        ]
        music = {key: raw.get(key) for key in _MUSIC}
        return digest_of([engine(), index, music, chain])

    def _sheet_inputs(self, plan: Mapping[str, str]) -> str:
        return digest_of([engine(), self.lesson.raw, list(plan.items())])

    # --- doing what is not ----------------------------------------------------------------------

    @cached_property
    def _shop(self) -> Workshop:
        return Workshop(self.lesson)

    def _flaws(self, stale: Sequence[int]) -> dict[int, list[Flaw]]:
        """The flaws of the examples to be made; errors stop the build here."""
        for index in stale:
            if index not in self._checked:
                self._checked[index] = check_example(self._shop, index)
        findings = [finding for index in stale for finding in self._checked[index]]
        if any(finding.severity == "error" for finding in findings):
            raise UnsoundLessonError(findings)
        return {index: flaws(self._shop.worked(index), self.lesson) for index in stale}

    def _make_examples(
        self,
        stale: Sequence[int],
        plan: Mapping[str, str],
        flaws_of: Mapping[int, Sequence[Flaw]],
        staging: Staging,
    ) -> dict[int, Parts]:
        made = {}
        with closing(self._each_made(stale)) as results:
            for index, example in results:
                name = self._names[index]
                facts = {"flaws": [flaw.as_data() for flaw in flaws_of[index]]}
                self._add(name, plan[name], example.files, staging, facts)
                made[index] = example.parts
        return made

    def _each_made(self, stale: Sequence[int]) -> Generator[tuple[int, MadeExample]]:
        """Each stale example as it is ready, made in as many processes as help."""
        jobs = [_Job(self._shop.worked(index), index, self._settings(index)) for index in stale]
        if min(self.workers, len(jobs)) < 2:
            yield from ((job.index, job.done()) for job in jobs)
            return
        longest_first = sorted(jobs, key=lambda job: -len(job.settings.extras))
        for job, future in done_apart(_Job.done, longest_first, self.workers):
            if lost(future):
                raise OutputError(
                    f"the process that made '{self._names[job.index]}' was killed",
                    mend="Look whether the memory is full, close what you can, and build again",
                )
            yield job.index, future.result()

    def _settings(self, index: int) -> Settings:
        return settings_of(self.lesson, index)

    def _parts(self, index: int) -> Parts:
        """The parts of an example that was kept."""
        name = parts_file(self._names[index])
        return Parts.from_json(read_plain(inside(self._home, name)))

    def _make_pages(
        self,
        parts: Sequence[Parts],
        findings: Sequence[Finding],
        sheet_inputs: str,
        index_inputs: str,
        staging: Staging,
    ) -> None:
        from lickwright.engrave.sheet import sheet_pdf
        from lickwright.engrave.web import index_html

        sheet = sheet_of(self.lesson, parts)
        if SHEET not in self.steps:
            self._add(SHEET, sheet_inputs, {SHEET: sheet_pdf(sheet)}, staging)
        if INDEX not in self.steps:
            page = index_html(web_of(sheet, parts, findings))
            files = {INDEX: page.encode(), REPORT: _report_bytes(parts, findings)}
            self._add(INDEX, index_inputs, files, staging)

    def _add(
        self,
        name: str,
        inputs: str,
        files: Mapping[str, bytes],
        staging: Staging,
        facts: Mapping[str, Any] | None = None,
    ) -> None:
        """Stage the files of a step that was done, and remember it."""
        for file, data in files.items():
            staging.add(file, data)
        self.steps[name] = BuildStep(inputs, _hashes(files), facts or {})
        self._tell(name)

    def _tell(self, name: str) -> None:
        self.built.append(name)
        if self.progress is not None:
            self.progress(len(self.built), self._total, name)

    def _report(self, findings: tuple[Finding, ...], put_back: tuple[str, ...] = ()) -> BuildReport:
        return BuildReport(
            self.out,
            tuple(name for name in (*self._names, SHEET, INDEX) if name in self.built),
            tuple(self.kept),
            findings,
            tuple(sorted(file for file in files_of(self.steps) if not file.startswith("."))),
            put_back,
        )


def _hashes(files: Mapping[str, bytes]) -> dict[str, str]:
    return {name: digest(data) for name, data in files.items()}


def _flaws_in(step: BuildStep) -> list[Flaw]:
    return [Flaw(**flaw) for flaw in step.facts.get("flaws", ())]


def _report_bytes(parts: Sequence[Parts], findings: Sequence[Finding]) -> bytes:
    """What was measured and found, for machines and for the curious."""
    report = {
        "audio": {name: dict(m) for part in parts for name, m in part.measured.items()},
        "findings": [finding.as_data() for finding in findings],
    }
    return (json.dumps(report, ensure_ascii=False, indent=1, sort_keys=True) + "\n").encode()
