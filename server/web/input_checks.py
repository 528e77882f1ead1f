"""Reject NUL bytes and charsets other than UTF-8."""

from http import HTTPStatus

from fastapi import Request
from python_multipart.multipart import parse_options_header
from starlette.exceptions import HTTPException

from shared_models.lazy_message import LazyMessage

_UTF_8 = {"utf-8", "utf8", "us-ascii"}


async def check_input(request: Request) -> None:
    """Reject an address with a NUL, which PostgreSQL takes in no text, and a form in another charset than UTF-8.

    Python decodes a form in whatever charset it names, also in ones that make no text of good bytes.
    """
    if "\0" in request.url.path or "%00" in request.url.query:
        raise HTTPException(HTTPStatus.NOT_FOUND)
    _, options = parse_options_header(request.headers.get("content-type"))
    if options.get(b"charset", b"utf-8").decode("latin-1").lower() not in _UTF_8:
        raise HTTPException(HTTPStatus.UNSUPPORTED_MEDIA_TYPE, LazyMessage("Forms and texts are read in UTF-8 only"))
