"""Translations as translators keep them (.po), read with the standard library: no compiled file that goes stale."""

from __future__ import annotations

import ast
import gettext
import io
import struct
from pathlib import Path

_MAGIC = 0x950412DE
_HEADER_BYTES = 28


def catalogue(folder: Path, language: str) -> gettext.NullTranslations:
    """The translations into a language from a folder of them; without a catalogue, the texts stay as they are."""
    po = po_file(folder, language)
    return read_po(po.read_text("utf-8")) if po.exists() else gettext.NullTranslations()


def po_file(folder: Path, language: str) -> Path:
    """Where the translations into a language are kept."""
    return folder / language / "LC_MESSAGES" / "rowend.po"


def read_po(text: str) -> gettext.GNUTranslations:
    """The translations in the text of a .po file."""
    return gettext.GNUTranslations(io.BytesIO(_pack(messages(text))))


def messages(text: str) -> dict[str, str]:
    """What is said how: plural forms stand in one text, with a NUL between them, as gettext keeps them."""
    found: dict[str, str] = {}
    said: dict[str, str] = {}
    name = ""
    for line in [*text.splitlines(), 'msgid ""']:
        if not line.startswith(("msg", '"')):
            continue
        if line.startswith("msgid "):
            found |= _entry(said)
            said = {}
        if line.startswith("msg"):
            name, _, line = line.partition(" ")  # noqa: PLW2901 - the rest of the line goes on as a line
        said[name] = said.get(name, "") + str(ast.literal_eval(line))
    return found


def _entry(said: dict[str, str]) -> dict[str, str]:
    ids = [said[name] for name in ("msgid", "msgid_plural") if name in said]
    forms = [text for name, text in sorted(said.items()) if name.startswith("msgstr")]
    return {"\0".join(ids): "\0".join(forms)} if all(forms) and forms else {}


def _pack(told: dict[str, str]) -> bytes:
    """The file that gettext's machines read: a header, a table of places for each side, then the texts."""
    ids = sorted(told)
    sides = [[text.encode() for text in side] for side in (ids, [told[each] for each in ids])]
    place = _HEADER_BYTES + 16 * len(ids)
    tables, texts = b"", b""
    for side in sides:
        for text in side:
            tables += struct.pack("<II", len(text), place + len(texts))
            texts += text + b"\0"
    header = struct.pack("<7I", _MAGIC, 0, len(ids), _HEADER_BYTES, _HEADER_BYTES + 8 * len(ids), 0, place)
    return header + tables + texts
