"""What nobody sends who means well, and no table could look up, is turned away before anything is done with it."""

from __future__ import annotations

from fastapi import Request
from python_multipart.multipart import parse_options_header
from starlette.exceptions import HTTPException

_NOTHING_THERE, _OTHER_LETTERS = 404, 415
_UTF_8 = {"utf-8", "utf8", "us-ascii"}


async def legible(request: Request) -> None:
    """Let no address pass that holds a NUL, and no form that is not written in UTF-8.

    Python decodes a form in whatever letters it says, also in ones that make of good bytes what is no text at all.
    """
    if "\0" in request.url.path or "%00" in request.url.query:
        raise HTTPException(_NOTHING_THERE)
    _, told = parse_options_header(request.headers.get("content-type"))
    if told.get(b"charset", b"utf-8").decode("latin-1").lower() not in _UTF_8:
        raise HTTPException(_OTHER_LETTERS, "Forms and texts are read in UTF-8 only")
