"""Ogg pages with a serial number of our choosing.

An Ogg writer gives each stream a random serial number, so the same sound makes a different file
each time.  The number is written over here and each page's checksum made good (RFC 3533,
section 6: bytes 14-17 serial number, 22-25 checksum).
"""

from __future__ import annotations

import zlib

_CAPTURE = b"OggS"
_HEADER = 27
#: Each byte with its bits turned round: Ogg counts bits of its CRC-32 from the other end than zlib.
_TURNED = bytes(int(f"{byte:08b}"[::-1], 2) for byte in range(256))


def with_serial(data: bytes, serial: int) -> bytes:
    """The same Ogg stream under another serial number.

    Raises
    ------
    ValueError
        When the bytes are not whole Ogg pages.
    """
    pages = []
    at = 0
    while at < len(data):
        if data[at : at + 4] != _CAPTURE or at + _HEADER > len(data):
            raise ValueError("not an Ogg page")
        segments = data[at + 26]
        end = at + _HEADER + segments + sum(data[at + _HEADER : at + _HEADER + segments])
        page = bytearray(data[at:end])
        page[14:18] = serial.to_bytes(4, "little")
        page[22:26] = bytes(4)
        page[22:26] = checksum(bytes(page)).to_bytes(4, "little")
        pages.append(bytes(page))
        at = end
    return b"".join(pages)


def checksum(page: bytes) -> int:
    """CRC-32 of a page whose checksum bytes are zero: polynomial 0x04c11db7, from 0."""
    crc = zlib.crc32(page.translate(_TURNED), 0xFFFFFFFF) ^ 0xFFFFFFFF
    return int(f"{crc:032b}"[::-1], 2)
