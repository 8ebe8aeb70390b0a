"""Bytes to text: which encoding a file is in, and whether it is text at all."""

import codecs
from dataclasses import dataclass
from functools import cached_property

from pipeline.core.errors import InputError
from pipeline.core.source import SourceFile

# Longest first: the mark of UTF-32 begins with that of UTF-16.
BYTE_ORDER_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
# First bytes of common binary files, and what such a file is.
BINARY_STARTS = (
    (b"PK\x03\x04", "a spreadsheet or an archive"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet"),
    (b"%PDF", "a PDF document"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"GIF8", "a picture"),
    (b"\x1f\x8b", "a compressed file"),
    (b"SQLite format 3\x00", "a database"),
)
# Text holds next to no control characters; one in fifty of a file's first bytes is far beyond it.
MAX_CONTROL_SHARE = 0.02
FEW_CONTROLS = 8
LOOKED_AT_BYTES = 65_536
CONTROLS = bytes(set(range(32)) - {9, 10, 11, 12, 13}) + b"\x7f"
BLANKS = b"\x00\r\n\t \xef\xbb\xbf"
UNREADABLE = "�"


@dataclass(frozen=True)
class Decoded:
    """A file as UTF-8 with ``\\n`` line ends, and how it was found."""

    utf8: bytes
    encoding: str
    warnings: tuple[str, ...] = ()

    @cached_property
    def text(self) -> str:
        """The same as text."""
        return self.utf8.decode()


def decode(file: SourceFile, data: bytes, encoding: str | None = None) -> Decoded:
    """What ``data`` says: by the encoding given, else by byte order mark, UTF-8, then cp1252.

    A NUL inside text is kept visible as U+FFFD, so that no number closes over it.

    Raises
    ------
    InputError
        when the file is empty, is binary, or is not in the encoding that its map names.
    """
    if not data[:LOOKED_AT_BYTES].strip(BLANKS) and not data.strip(BLANKS):
        raise InputError(file.shown, None, "empty file", "fill it or take it out of the inbox")
    if not encoding:
        _reject_binary(file, data)
    if encoding in (None, "utf-8") and _is_plain(data):
        return Decoded(data, "utf-8")  # a copy costs more than looking
    warnings: tuple[str, ...] = ()
    if encoding:
        text = _decode_as(file, data, encoding)
    else:
        text, encoding, warnings = _find_encoding(data)
    if "\x00" in text:
        line = text.count("\n", 0, text.index("\x00")) + 1
        warnings += (f"NUL bytes (first in line {line}) are shown as {UNREADABLE}",)
        text = text.replace("\x00", UNREADABLE)
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    return Decoded(text.encode(), encoding, warnings)


def _is_plain(data: bytes) -> bool:
    """UTF-8 that may stay as it is."""
    if b"\r" in data or b"\x00" in data or data.startswith(codecs.BOM_UTF8):
        return False
    try:
        return data.isascii() or bool(data.decode())
    except UnicodeDecodeError:
        return False


def _decode_as(file: SourceFile, data: bytes, encoding: str) -> str:
    try:
        return data.decode(encoding).removeprefix("\ufeff")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        value = f"byte {data[error.start]:#04x} is not {encoding}"
        raise InputError(file.shown, line, value, "correct table.encoding in its map") from None
    except (LookupError, ValueError):  # a codec that reads no text says either
        remedy = "no such encoding of text: correct table.encoding in its map"
        raise InputError(file.shown, None, f"encoding {encoding!r}", remedy) from None


def _find_encoding(data: bytes) -> tuple[str, str, tuple[str, ...]]:
    """Text, name of the encoding, and a warning where some bytes had no meaning."""
    marked = next((name for mark, name in BYTE_ORDER_MARKS if data.startswith(mark)), None)
    for name in (marked,) if marked else ("utf-8", "cp1252"):
        try:
            return data.decode(name), name, ()
        except UnicodeDecodeError:
            continue
    name = marked or "utf-8"
    text = data.decode(name, errors="replace")
    warning = f"{text.count(UNREADABLE)} bytes are not {name} and are shown as {UNREADABLE}"
    return text, name, (warning,)


def _reject_binary(file: SourceFile, data: bytes) -> None:
    remedy = "save it as CSV or text and put that into the inbox"
    for start, kind in BINARY_STARTS:
        if data.startswith(start):
            raise InputError(file.shown, None, f"{kind}, not text", remedy)
    if data.startswith(tuple(mark for mark, name in BYTE_ORDER_MARKS if name != "utf-8-sig")):
        return
    head = data[:LOOKED_AT_BYTES]
    controls = len(head) - len(head.translate(None, CONTROLS))
    if controls > max(FEW_CONTROLS, MAX_CONTROL_SHARE * len(head)):
        value = f"{controls} control bytes in the first {len(head)}: a binary file"
        raise InputError(file.shown, None, value, remedy)
