"""What the shelf's commands print: tables of lessons, licks and coverage, and one lick whole."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lickwright.score import Score
    from lickwright.shelf import Coverage
    from lickwright.shelf.licks import LessonCard, LickCard


def lesson_table(lessons: Sequence[LessonCard]) -> str:
    """A line a lesson."""
    rows: list[tuple[str, ...]] = [("id", "no.", "lesson", "teacher", "licks", "file")]
    for card in lessons:
        number = "" if card.number is None else str(card.number)
        rows.append((str(card.id), number, card.title, card.teacher, str(card.licks), card.file))
    return _columns(rows)


def lick_table(licks: Sequence[LickCard]) -> str:
    """A line a lick."""
    head = ("id", "lick", "from", "chords", "triads", "technique", "strings", "frets", "bpm")
    return _columns([head, *map(_card_row, licks)])


def _card_row(card: LickCard) -> tuple[str, ...]:
    return (
        str(card.id),
        card.name,
        card.home,
        card.chords,
        card.triads,
        card.techniques,
        _span(card.strings),
        _span(card.frets),
        f"{card.target_bpm:g}",
    )


def _span(ends: tuple[int, int]) -> str:
    return str(ends[0]) if ends[0] == ends[1] else f"{ends[0]}-{ends[1]}"


def lick_text(card: LickCard, score: Score, text: str) -> str:
    """A lick's name, what is known of it, its tab, and its teacher's words."""
    from lickwright.lick.tab import print_tab
    from lickwright.shelf.licks import meter_of

    facts = [
        card.key,
        card.chords and f"implies {card.chords}",
        card.triads and f"triads {card.triads}",
        card.techniques,
        f"{card.tuning} tuning",
        f"to {card.target_bpm:g} bpm",
        card.ceiling_bpm and f"estimated ceiling {card.ceiling_bpm:.0f} bpm",
    ]
    parts = [
        f"{card.name} ({card.home})\n{'; '.join(str(fact) for fact in facts if fact)}",
        print_tab(score.lick, score.guitar, meter=meter_of(score)),
        text,
    ]
    return "\n\n".join(part.strip("\n") for part in parts if part.strip())


def coverage_table(covered: Coverage) -> str:
    """How many licks lie in each place, a table a technique; a dot where none does."""
    from lickwright.shelf import EXAMPLES, PICKING

    tables = []
    for technique in PICKING:
        head = [f"strings {low}-{high}" for low, high in covered.string_sets]
        rows: list[tuple[str, ...]] = [(technique, *head)]
        for family in EXAMPLES:
            counts = (covered.count(family, technique, each) for each in covered.string_sets)
            rows.append((family, *(str(count or ".") for count in counts)))
        tables.append(_columns(rows))
    return "\n\n".join(tables)


def _columns(rows: Sequence[tuple[str, ...]]) -> str:
    widths = [max(len(row[at]) for row in rows) for at in range(len(rows[0]))]
    return "\n".join(
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    )
