"""GET /record/{bed}: the planting record for an inspector."""

from typing import Annotated

from fastapi import APIRouter, Path
from fastapi.responses import HTMLResponse

from server.auth.dependencies import FarmOf, ProvidersOf, Reading
from server.office.log.inspector_record import record_html, style_guard
from server.web.language import LanguageOf
from shared_models.reports.common.context import ReportContext
from shared_models.reports.common.find import find_bed

router = APIRouter(tags=["export"])


@router.get(
    "/record/{bed}",
    response_class=HTMLResponse,
    responses={200: {"content": {"text/html": {"example": "<!doctype html>…"}}}},
)
def show_record(
    farm: FarmOf,
    session: Reading,
    providers: ProvidersOf,
    language: LanguageOf,
    bed: Annotated[str, Path(max_length=300, description="Id or name of a bed.")],
) -> HTMLResponse:
    """A bed's planting record to print: crops, seed lots, days, rows, people, stand counts, corrections.

    It lists the logs that hold the entries, with the digest of each log's last line.
    """
    reports = ReportContext.of(session, farm)
    page = record_html(reports, find_bed(reports, bed), providers.now(), language)
    policy = f"default-src 'none'; style-src '{style_guard()}'; img-src data:; base-uri 'none'; frame-ancestors 'none'"
    return HTMLResponse(page, headers={"Content-Security-Policy": policy, "Referrer-Policy": "no-referrer"})
