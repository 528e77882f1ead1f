"""Exports: records and reports as CSV, everything as JSON, the calendar and the map."""

from enum import StrEnum
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Path, Query, Request, Response
from fastapi.responses import JSONResponse

from server.api.examples import EXAMPLES, example_answer
from server.api.reports import FiltersOf, ReportsOf
from server.auth.dependencies import (
    EngineOf,
    FarmOf,
    OfficeScheme,
    OptionalOffice,
    PhoneScheme,
    ProvidersOf,
    Reading,
    farm_of,
)
from server.exports.feeds.feed_key import check_feed_key
from server.exports.feeds.geojson import MEDIA_TYPE as GEO_JSON
from server.exports.feeds.geojson import BedMap, bed_map
from server.exports.feeds.ical import MEDIA_TYPE as CALENDAR
from server.exports.feeds.ical import calendar_feed
from server.exports.proof.export_file import export_text
from server.exports.spreadsheets.records import FLAGGED, flagged_csv, kind_csv
from server.exports.spreadsheets.reports import rates_csv, soil_csv, stands_csv
from server.exports.spreadsheets.text import MEDIA_TYPE as CSV
from server.render.json.rates import RatesOut
from server.render.json.stands_and_soil import SoilOut, StandsOut
from shared_models.core.vocabulary import Role
from shared_models.log.store import reading
from shared_models.records.models import KINDS
from shared_models.reports.pace.rates import By, rates
from shared_models.reports.soil.beds import soil
from shared_models.reports.stand.stands import stands

router = APIRouter(tags=["export"])

_JSON = "application/json"

Table = StrEnum("Table", {kind: kind for kind in (*KINDS, FLAGGED)})  # type: ignore[misc]  # the kinds decide


def may_see_private(office: OptionalOffice) -> bool:
    """Whether wages and prices are included: for an owner, never for a phone, even next to an open office session."""
    return office is not None and office.role is Role.OWNER


SeesPrivate = Annotated[bool, Depends(may_see_private)]


def _file_answer(media_type: str, example: str) -> dict[int | str, dict[str, Any]]:
    """The `responses` of a route whose answer is a file like this example."""
    media = {"schema": {"type": "string"}, "example": EXAMPLES[example]}
    return {200: {"description": "The file.", "content": {media_type.partition(";")[0]: media}}}


def _file(name: str, text: str, media_type: str) -> Response:
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    # a flagged record may hold half a letter, which JSON can tell and UTF-8 cannot
    return Response(text.encode(errors="backslashreplace"), media_type=media_type, headers=headers)


@router.get("/v1/export/rates.csv", response_class=Response, responses=_file_answer(CSV, "rates.csv"))
def export_rates(
    reports: ReportsOf,
    filters: FiltersOf,
    by: Annotated[By, Query(description="What each line stands for.")] = By.BED,
) -> Response:
    """The lines of GET /v1/rates as CSV, with the same names and the same figures, not rounded."""
    return _file("rates.csv", rates_csv(RatesOut.model_validate(rates(reports, by, filters))), CSV)


@router.get("/v1/export/stands.csv", response_class=Response, responses=_file_answer(CSV, "stands.csv"))
def export_stands(reports: ReportsOf, filters: FiltersOf) -> Response:
    """The plantings of GET /v1/stands as CSV, with the same names and the same figures; lists are JSON in a cell."""
    return _file("stands.csv", stands_csv(StandsOut.model_validate(stands(reports, filters))), CSV)


@router.get("/v1/export/soil.csv", response_class=Response, responses=_file_answer(CSV, "soil.csv"))
def export_soil(reports: ReportsOf, filters: FiltersOf, providers: ProvidersOf) -> Response:
    """The beds of GET /v1/soil as CSV; the verdict stands in the columns that begin with now_."""
    return _file("soil.csv", soil_csv(SoilOut.model_validate(soil(reports, providers.now(), filters))), CSV)


@router.get("/v1/export/{kind}.csv", response_class=Response, responses=_file_answer(CSV, "bed.csv"))
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


@router.get("/v1/export.json", response_class=Response, responses=_file_answer(_JSON, "records.json"))
def export_everything(farm: FarmOf, session: Reading, private: SeesPrivate) -> Response:
    """Every record of every kind in one document, which `rowend import` reads into an empty farm.

    With the logs it comes from, line by line, and their signatures: `rowend verify FILE` checks them on any machine.
    """
    return _file("records.json", export_text(session.connection(), farm, private=private), _JSON)


def farm_of_calendar(
    request: Request,
    engine: EngineOf,
    office: OptionalOffice,
    farm: Annotated[str | None, Query(max_length=40, description="Id of the farm, with its key.")] = None,
    key: Annotated[str | None, Query(max_length=100, description="The key that `rowend calendar` prints.")] = None,
    _phone: PhoneScheme = None,
    _office: OfficeScheme = None,
) -> str:
    """The farm whose calendar is asked for: by the key in the address, or by whoever is signed in."""
    if farm is None or key is None:
        return farm_of(request, office)
    with reading(engine) as connection:
        check_feed_key(connection, farm, key)
    return farm


@router.get("/v1/calendar.ics", response_class=Response, responses=_file_answer(CALENDAR, "calendar.ics"))
def show_calendar(
    farm: Annotated[str, Depends(farm_of_calendar)], session: Reading, providers: ProvidersOf
) -> Response:
    """Sowings, plantings and stand counts that are due, for calendar programs to subscribe to (RFC 5545).

    Calendar programs cannot sign in: `rowend calendar` prints an address with a key that opens this and nothing else.
    """
    return Response(calendar_feed(session, farm, providers.now()), media_type=CALENDAR)


class GeoJsonResponse(JSONResponse):
    """A map."""

    media_type = GEO_JSON


@router.get(
    "/v1/map.geojson",
    response_class=GeoJsonResponse,
    response_model=BedMap,
    responses=example_answer("map.geojson", GEO_JSON),
)
def show_map(farm: FarmOf, session: Reading, providers: ProvidersOf) -> Response:
    """Every bed that has a position, with its latest figures: readiness, last planting, stand and rate (RFC 7946)."""
    return GeoJsonResponse(bed_map(session, farm, providers.now()).model_dump(mode="json"))
