"""Where does a file lie, and how is it written so that nothing is lost?

Nouns:

* :class:`Draft`: edits that wait beside a lesson file.
* :class:`Hold`: a lock on an open file, until it is ended or forgotten.
"""

from __future__ import annotations

from lickwright.files.drafts import (
    Draft,
    Hold,
    base_of,
    draft_path,
    drafted_file,
    find_drafts,
    new_writer,
    one_writer,
    take_hold,
)
from lickwright.files.lock import writing
from lickwright.files.paths import (
    OutsideError,
    TooLargeError,
    inside,
    is_inside,
    is_plain_file,
    may_lie_inside,
    read_plain,
)
from lickwright.files.safe_write import (
    reason_of,
    remove,
    reserve,
    sweep,
    sync_folder,
    told,
    write_beside,
    write_held,
    write_new,
    write_through,
    write_whole,
)

__all__ = [
    "Draft",
    "Hold",
    "OutsideError",
    "TooLargeError",
    "base_of",
    "draft_path",
    "drafted_file",
    "find_drafts",
    "inside",
    "is_inside",
    "is_plain_file",
    "may_lie_inside",
    "new_writer",
    "one_writer",
    "read_plain",
    "reason_of",
    "remove",
    "reserve",
    "sweep",
    "sync_folder",
    "take_hold",
    "told",
    "write_beside",
    "write_held",
    "write_new",
    "write_through",
    "write_whole",
    "writing",
]
