"""The text of a table that comes as a file: in UTF-8, in UTF-16, or in the letters of Windows."""

import codecs

_UTF_16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
#: how a workbook begins: it is an archive
_ARCHIVE = "PK\x03\x04"


def text_of(file: bytes) -> str:
    """What stands in a file. What is no UTF-8 is taken for Windows-1252, as spreadsheets save "CSV" without a word."""
    if file.startswith(_UTF_16):
        return file.decode("utf-16", errors="replace")
    try:
        return file.decode("utf-8-sig")
    except UnicodeDecodeError:
        return file.decode("windows-1252", errors="replace")


def is_text(text: str) -> bool:
    """Whether people can read it; a workbook or a picture is something else."""
    return "\0" not in text and not text.startswith(_ARCHIVE)
