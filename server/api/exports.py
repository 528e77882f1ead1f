"""What leaves the service: records and reports as CSV, everything as JSON, calendar, map and planting record."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Path, Query, Request, Response
from fastapi.responses import HTMLResponse, JSONResponse

from server.api.reports import AskedFilters
from server.auth.dependencies import (
    EngineOf,
    FarmOf,
    OfficeAsking,
    OfficeTold,
    PhoneTold,
    Reading,
    SurroundingsOf,
    farm_of,
)
from server.exports.feeds.feed_key import check_feed_key
from server.exports.feeds.geojson import MEDIA_TYPE as GEO_JSON
from server.exports.feeds.geojson import BedMap, bed_map
from server.exports.feeds.ical import MEDIA_TYPE as CALENDAR
from server.exports.feeds.ical import calendar_feed
from server.exports.spreadsheets.records import FLAGGED, everything, flagged_csv, json_text, kind_csv
from server.exports.spreadsheets.reports import rates_csv, soil_csv, stands_csv
from server.exports.spreadsheets.text import MEDIA_TYPE as CSV
from server.office.log.inspector_record import record_html, style_guard
from server.render.json.rates import RatesOut
from server.render.json.stands_and_soil import SoilOut, StandsOut
from server.web.language import LanguageOf
from shared_models.core.vocabulary import Role
from shared_models.log.store import reading
from shared_models.records.models import KINDS
from shared_models.reports.common.farm import farm_facts
from shared_models.reports.common.find import find_bed
from shared_models.reports.pace.rates import By, rates
from shared_models.reports.soil.beds import soil
from shared_models.reports.stand.stands import stands

router = APIRouter(tags=["export"])

_JSON = "application/json"
#: Nobody in between keeps a farm's records.
_GUARD = {"Cache-Control": "private, no-store", "X-Content-Type-Options": "nosniff"}

Table = StrEnum("Table", {kind: kind for kind in (*KINDS, FLAGGED)})  # type: ignore[misc]  # the kinds decide


def may_see_private(office: OfficeAsking) -> bool:
    """Whether wages and prices go out: to an owner, and never to a phone, even one beside which an office is open."""
    return office is not None and office.role is Role.OWNER


SeesPrivate = Annotated[bool, Depends(may_see_private)]


def _told(media_type: str, example: Any) -> dict[int | str, dict[str, Any]]:
    """What OpenAPI says of an answer."""
    media = {"schema": {"type": "string"}, "example": example}
    return {200: {"description": "The file.", "content": {media_type.partition(";")[0]: media}}}


def _file(name: str, text: str, media_type: str) -> Response:
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    # a flagged record may hold half a letter, which JSON can tell and UTF-8 cannot
    return Response(text.encode(errors="backslashreplace"), media_type=media_type, headers=_GUARD | headers)


@router.get(
    "/v1/export/rates.csv",
    response_class=Response,
    responses=_told(CSV, "key,label,rows,length_mm,length_ft\r\n0190…,Bed 1,2.0,60960.0,200.0\r\n"),
)
def export_rates(
    farm: FarmOf,
    session: Reading,
    filters: AskedFilters,
    by: Annotated[By, Query(description="What each line stands for.")] = By.BED,
) -> Response:
    """The lines of GET /v1/rates as CSV, with the same names and the same figures, not rounded."""
    return _file("rates.csv", rates_csv(RatesOut.of(rates(session, farm, by, filters))), CSV)


@router.get(
    "/v1/export/stands.csv",
    response_class=Response,
    responses=_told(CSV, "planting,label,bed,crop,spacing_mm\r\n0190…,Onion Varna,0190…,Onion,50.8\r\n"),
)
def export_stands(farm: FarmOf, session: Reading, filters: AskedFilters) -> Response:
    """The plantings of GET /v1/stands as CSV, with the same names and the same figures; lists are JSON in a cell."""
    return _file("stands.csv", stands_csv(StandsOut.of(stands(session, farm, filters))), CSV)


@router.get(
    "/v1/export/soil.csv",
    response_class=Response,
    responses=_told(CSV, "bed,label,texture,retired,now_readiness\r\n0190…,Bed 1,medium,false,wait\r\n"),
)
def export_soil(farm: FarmOf, session: Reading, filters: AskedFilters, providers: SurroundingsOf) -> Response:
    """The beds of GET /v1/soil as CSV; the verdict stands in the columns that begin with now_."""
    return _file("soil.csv", soil_csv(SoilOut.of(soil(session, farm, providers.now(), filters))), CSV)


@router.get(
    "/v1/export/{kind}.csv",
    response_class=Response,
    responses=_told(CSV, "id,name,block,length_mm,rows\r\n0190…,Bed 1,North,30480,4\r\n"),
)
def export_kind(
    farm: FarmOf,
    session: Reading,
    private: SeesPrivate,
    kind: Annotated[Table, Path(description="The kind of record; flagged are those that break a rule.")],
) -> Response:
    """Every record of a kind as CSV (RFC 4180), deleted ones too; docs/columns.md tells what the columns are.

    Wages and prices are there for an owner only. A text that a spreadsheet could take for a formula has an
    apostrophe before it.
    """
    connection = session.connection()
    if kind.value == FLAGGED:
        text = flagged_csv(connection, farm, private=private)
    else:
        text = kind_csv(connection, farm, kind.value, private=private)
    return _file(f"{kind.value}.csv", text, CSV)


@router.get(
    "/v1/export.json",
    response_class=Response,
    responses=_told(_JSON, {"format": "rowend records", "version": 1, "farm": "0190…", "records": {"bed": []}}),
)
def export_everything(farm: FarmOf, session: Reading, private: SeesPrivate) -> Response:
    """Every record of every kind in one document, which `rowend import` reads into an empty farm."""
    return _file("records.json", json_text(everything(session.connection(), farm, private=private)), _JSON)


def farm_of_calendar(
    request: Request,
    engine: EngineOf,
    office: OfficeAsking,
    farm: Annotated[str | None, Query(max_length=40, description="Id of the farm, with its key.")] = None,
    key: Annotated[str | None, Query(max_length=100, description="The key that `rowend calendar` prints.")] = None,
    _phone: PhoneTold = None,
    _office: OfficeTold = None,
) -> str:
    """The farm whose calendar is asked for: by the key in the address, or by whoever is signed in."""
    if farm is None or key is None:
        return farm_of(request, office)
    with reading(engine) as connection:
        check_feed_key(connection, farm, key)
    return farm


@router.get(
    "/v1/calendar.ics",
    response_class=Response,
    responses=_told(CALENDAR, "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nBEGIN:VEVENT\r\nUID:planting-0190…\r\n…"),
)
def show_calendar(
    farm: Annotated[str, Depends(farm_of_calendar)], session: Reading, providers: SurroundingsOf
) -> Response:
    """Sowings, plantings and stand counts that are due, for calendar programs to subscribe to (RFC 5545).

    Calendar programs cannot sign in: `rowend calendar` prints an address with a key that opens this and nothing else.
    """
    return Response(calendar_feed(session, farm, providers.now()), media_type=CALENDAR, headers=_GUARD)


class GeoJsonResponse(JSONResponse):
    """A map."""

    media_type = GEO_JSON


@router.get(
    "/v1/map.geojson",
    response_class=GeoJsonResponse,
    response_model=BedMap,
    responses={
        200: {
            "content": {
                GEO_JSON: {
                    "example": {
                        "type": "FeatureCollection",
                        "features": [
                            {
                                "type": "Feature",
                                "id": "0190…",
                                "geometry": {"type": "Point", "coordinates": [-73.5, 42.4]},
                                "properties": {"name": "Bed 1", "readiness": "ready", "planted_stand": 0.997},
                            }
                        ],
                    }
                }
            }
        }
    },
)
def show_map(farm: FarmOf, session: Reading, providers: SurroundingsOf) -> Response:
    """Every bed that has a position, with its latest figures: readiness, last planting, stand and rate (RFC 7946)."""
    told = bed_map(session, farm, providers.now())
    return GeoJsonResponse(told.model_dump(mode="json"), headers=_GUARD)


@router.get("/record/{bed}", response_class=HTMLResponse, responses=_told("text/html", "<!doctype html>…"))
def show_record(
    farm: FarmOf,
    session: Reading,
    providers: SurroundingsOf,
    language: LanguageOf,
    bed: Annotated[str, Path(max_length=300, description="Id or name of a bed.")],
) -> HTMLResponse:
    """A bed's planting record for an inspector, to print: crops, seed lots, days, rows, people, stands, corrections.

    It tells which logs the entries stand in, and the digest of each log's last line.
    """
    page = record_html(session, farm_facts(session, farm), find_bed(session, farm, bed), providers.now(), language)
    policy = f"default-src 'none'; style-src '{style_guard()}'; img-src data:; base-uri 'none'; frame-ancestors 'none'"
    return HTMLResponse(page, headers=_GUARD | {"Content-Security-Policy": policy, "Referrer-Policy": "no-referrer"})
