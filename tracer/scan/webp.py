"""The size in a WebP header, read before the decoder sets memory aside for it."""

from __future__ import annotations

import struct

__all__ = ["webp_size"]


def webp_size(head: bytes) -> tuple[int, int] | None:
    """Read width and height from the first 30 bytes of a WebP file; None for anything else.

    References
    ----------
    RFC 9649 (WebP), sections 2.5 to 2.7 and 3.4; RFC 6386 (VP8), section 9.1.

    Examples
    --------
    >>> webp_size(b"GIF89a") is None
    True
    """
    if len(head) < 30 or head[:4] != b"RIFF" or head[8:12] != b"WEBP":
        return None
    chunk = head[12:16]
    if chunk == b"VP8X":
        return 1 + int.from_bytes(head[24:27], "little"), 1 + int.from_bytes(head[27:30], "little")
    if chunk == b"VP8L":
        bits = int.from_bytes(head[21:25], "little")
        return 1 + (bits & 0x3FFF), 1 + (bits >> 14 & 0x3FFF)
    if chunk == b"VP8 ":
        width, height = struct.unpack("<HH", head[26:30])
        return width & 0x3FFF, height & 0x3FFF
    return None
