"""The engine keeps its settings a thread: whoever asks, from wherever, gets the same page."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

from lickwright.engrave.page.systems import Engraving, engrave
from lickwright.score.score import Score


def test_any_thread_engraves_the_same_page(cases: dict[str, Score]) -> None:
    score = next(iter(cases.values()))
    here = engrave(score)
    with ThreadPoolExecutor(2) as pool:
        elsewhere: list[Engraving] = list(pool.map(engrave, [score] * 3))
    assert [page == here for page in elsewhere] == [True] * 3
