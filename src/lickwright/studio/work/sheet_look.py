"""The printed sheet as it would be built now, for a quick look."""

from __future__ import annotations

from lickwright.studio.work.preview import ExampleRequest, worked_for

#: Pixels an inch of a quick look at the sheet.
LOOK_PPI = 84.0


def sheet_pages(request: ExampleRequest) -> list[bytes]:
    """The printed sheet as it would be built now, a PNG a page.

    Raises
    ------
    LickwrightError
        Where an example cannot be worked out.
    """
    from lickwright.engrave.sheet import sheet_png
    from lickwright.publish import page_parts, settings_of, sheet_of

    workshop, _ = worked_for(request)
    lesson = workshop.lesson
    parts = [
        page_parts(workshop.worked(index), settings_of(lesson, index))
        for index in range(len(lesson.examples))
    ]
    return sheet_png(sheet_of(lesson, parts), LOOK_PPI)
