"""Whose hand plays?  The hand sizes, as the fingering and the playability report read them.

The millimetres stand one floor down, in :mod:`lickwright.neck.reach`, since shapes on the neck
need them too.
"""

from __future__ import annotations

from lickwright.neck.reach import FINGER_NAMES, HANDS, HandProfile, hand_profile

__all__ = ["FINGER_NAMES", "HANDS", "HandProfile", "hand_profile"]
