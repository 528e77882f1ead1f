"""Send tables to the set-up, and read the farm's records."""

import re
from typing import Any

import httpx2
from sqlalchemy import select

from shared_models.log.store import reading
from shared_models.records.tables import PROJECTIONS, table_of
from tests.server.support.service import BROWSER, Service


def records(service: Service, farm: str, kind: str) -> list[dict[str, Any]]:
    table = table_of(PROJECTIONS[kind])
    with reading(service.engine) as connection:
        return [dict(row) for row in connection.execute(select(table).where(table.c.farm_id == farm)).mappings()]


def paste(office: Service, part: str, *lines: str, **more: str) -> httpx2.Response:
    return office.send_form(f"/setup/{part}/csv", text="\r\n".join(lines), **more)


def page_text(page: str) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", page).split())


def send_file(office: Service, part: str, file: bytes, **more: str) -> httpx2.Response:
    return office.client.post(
        f"/setup/{part}/csv",
        data={"form_token": office.form_token(), "text": ""} | more,
        files={"file": (f"{part}.csv", file, "text/csv")},
        headers=BROWSER,
        follow_redirects=False,
    )
