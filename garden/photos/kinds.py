"""What kind of picture some bytes are, by what they hold and never by a name."""

from __future__ import annotations

from garden.photos.plain import PhotoRefused

# Brands of the ISO base media file format that stand for HEVC stills (ISO/IEC 23008-12, annex B).
HEIC_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx"}
STILL_BRANDS = {b"mif1", b"msf1"}
UNREADABLE = "This is no photo that can be read here: send a JPEG, PNG, WebP or HEIC."


def kind_of(content: bytes) -> str:
    """'JPEG', 'PNG', 'WEBP' or 'HEIC'; PhotoRefused for anything else."""
    if content.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return "WEBP"
    if content[4:8] == b"ftyp" and _is_heic(content):
        return "HEIC"
    raise PhotoRefused(UNREADABLE)


def _is_heic(content: bytes) -> bool:
    end = min(int.from_bytes(content[:4], "big"), 256)
    brands = {content[at : at + 4] for at in (8, *range(16, end, 4))}
    return bool(brands & HEIC_BRANDS) or (
        content[8:12] in STILL_BRANDS and not any(b"avi" in brand for brand in brands)
    )


def webp_size(content: bytes) -> tuple[int, int]:
    """Width and height that a WebP's first chunk tells (RFC 9649, section 2); (0, 0) if none.

    Opening one makes room for all of it, so this is asked before.
    """
    chunk, body = content[12:16], content[20:30]
    if len(body) < 10:
        return 0, 0
    if chunk == b"VP8X":
        return 1 + int.from_bytes(body[4:7], "little"), 1 + int.from_bytes(body[7:10], "little")
    if chunk == b"VP8L":
        bits = int.from_bytes(body[1:5], "little")
        return 1 + (bits & 0x3FFF), 1 + (bits >> 14 & 0x3FFF)
    if chunk == b"VP8 ":
        width, height = (int.from_bytes(body[at : at + 2], "little") for at in (6, 8))
        return width & 0x3FFF, height & 0x3FFF
    return 0, 0
