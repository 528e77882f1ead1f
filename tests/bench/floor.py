"""The leanest honest code for the same work: what nobody can go below by much, and what the ratios are taken to."""

import gzip
import json
import sqlite3
from collections.abc import Iterator
from pathlib import Path

import requests
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

PAGE = 5_000
TABLE = "CREATE TABLE row_pass (device INTEGER, seq INTEGER, body TEXT, PRIMARY KEY (device, seq)) WITHOUT ROWID"


def open_raw(path: Path) -> sqlite3.Connection:
    """A SQLite file that loses nothing at power-off, with one table."""
    raw = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
    raw.execute("PRAGMA journal_mode=WAL")
    raw.execute("PRAGMA synchronous=FULL")
    raw.execute("PRAGMA wal_autocheckpoint=20000")
    raw.execute(TABLE)
    return raw


def tap(raw: sqlite3.Connection, seq: int, body: str) -> None:
    """One row, on the disk."""
    raw.execute("BEGIN IMMEDIATE")
    raw.execute("INSERT INTO row_pass VALUES (1, ?, ?)", (seq, body))
    raw.execute("COMMIT")


def service(raw: sqlite3.Connection) -> Starlette:
    """Takes pages of rows, each durable when it answers."""

    async def take(request: Request) -> Response:
        rows = json.loads(gzip.decompress(await request.body()))
        raw.execute("BEGIN IMMEDIATE")
        raw.executemany("INSERT INTO row_pass VALUES (?, ?, ?)", rows)
        raw.execute("COMMIT")
        return Response(str(len(rows)))

    return Starlette(routes=[Route("/", take, methods=["POST"])])


def push(raw: sqlite3.Connection, address: str) -> int:
    """Send every row in pages; the bytes sent."""
    sent = 0
    with requests.Session() as session:
        for page in _pages(raw):
            body = gzip.compress(json.dumps(page, separators=(",", ":")).encode(), 1)
            session.post(address, data=body).raise_for_status()
            sent += len(body)
    return sent


def _pages(raw: sqlite3.Connection) -> Iterator[list[tuple[int, int, str]]]:
    last = 0
    while page := raw.execute(
        "SELECT device, seq, body FROM row_pass WHERE seq > ? ORDER BY seq LIMIT ?", (last, PAGE)
    ).fetchall():
        yield page
        last = page[-1][1]
