"""So many inputs of a target, one after another, each the same for the same start number."""

from __future__ import annotations

from collections.abc import Callable

from hypothesis import HealthCheck, Phase, given, seed, settings

from .targets import Target

#: Inputs that are drawn together; what was drawn is remembered so long.
TOGETHER = 400


def each_input(
    target: Target, count: int, start: int, use: Callable[[str], None], *, shrink: bool
) -> int:
    """Give ``count`` inputs to ``use``; how many there were.

    Parameters
    ----------
    start : another number, other inputs.
    shrink : look for the smallest input that raises the same, before it is raised.
    """
    phases = (Phase.generate, Phase.shrink) if shrink else (Phase.generate,)
    given_out = 0
    for part in range((count + TOGETHER - 1) // TOGETHER):
        usual = settings(
            max_examples=min(TOGETHER, count - part * TOGETHER),
            phases=phases,
            database=None,
            deadline=None,
            suppress_health_check=list(HealthCheck),
            report_multiple_bugs=False,
        )

        @seed(start * 1_000_003 + part)
        @usual
        @given(target.inputs())
        def one(text: str) -> None:
            nonlocal given_out
            given_out += 1
            use(text)

        one()
    return given_out
