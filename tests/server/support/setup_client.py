"""The office as a browser gets it, tables sent to its set-up, and what the farm holds afterwards."""

from __future__ import annotations

import re
from typing import Any

import httpx2
from sqlalchemy import select

from shared_models.log.store import reading
from shared_models.records.tables import PROJECTIONS, table_of
from tests.server.support.html_form import BROWSER
from tests.server.support.world import Service


def shown(office: Service, path: str) -> str:
    answer = office.client.get(path, headers=BROWSER)
    assert answer.status_code == 200, answer.text
    return answer.text


def records(service: Service, farm: str, kind: str) -> list[dict[str, Any]]:
    table = table_of(PROJECTIONS[kind])
    with reading(service.engine) as connection:
        return [dict(row) for row in connection.execute(select(table).where(table.c.farm_id == farm)).mappings()]


def paste(office: Service, part: str, *lines: str, **more: str) -> httpx2.Response:
    return office.send_form(f"/setup/{part}/csv", text="\r\n".join(lines), **more)


def told(page: str) -> str:
    """The words of a page without its marks, gaps as one."""
    return " ".join(re.sub(r"<[^>]*>", " ", page).split())


def send_file(office: Service, part: str, file: bytes, **more: str) -> httpx2.Response:
    return office.client.post(
        f"/setup/{part}/csv",
        data={"form_token": office.form_token(), "text": ""} | more,
        files={"file": (f"{part}.csv", file, "text/csv")},
        headers=BROWSER,
        follow_redirects=False,
    )
