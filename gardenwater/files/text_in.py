"""The text of a file, whatever it is written in."""

from __future__ import annotations

from pathlib import Path

from gardenwater.files.words import unreadable

LARGEST_BYTES = 50_000_000
EXPORT_AGAIN = "Export it again as a table in text (CSV)."
_UTF16_MARKS = (b"\xff\xfe", b"\xfe\xff")


def text_of(file: Path, *, too_large: str) -> str:
    """The text of a file: UTF-8, UTF-16 with its mark, else what older spreadsheets write (Windows-1252).

    too_large: the mend for a file over 50 MB. Raises FileError for that, and for what is no text.
    """
    if file.stat().st_size > LARGEST_BYTES:
        raise unreadable(file, "it is larger than 50 MB", too_large)
    raw = file.read_bytes()
    if raw.startswith(_UTF16_MARKS):
        return raw.decode("utf-16", errors="replace")
    if b"\0" in raw[:1000]:
        raise unreadable(file, "it is not text", EXPORT_AGAIN)
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("cp1252", errors="replace")
