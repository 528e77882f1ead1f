"""The office's page of a season of two hundred beds, against reading its rows and making nothing of them."""

from server.office.reports.charts import base as charts
from tests.bench.measure import Size, median_seconds, print_line, print_ratio, seconds_of
from tests.journeys.support.farm_service import MORNING
from tests.server.support.service import FakeProviders, running_service
from tests.shared_models.reports.support.big_season import BEDS, big_season
from tests.shared_models.reports.support.farmbook import FarmBook


def bench_season(size: Size) -> None:
    """The whole page, as a browser gets it."""
    fakes = FakeProviders(MORNING)
    with running_service(f"sqlite:///{size.folder / 'season.db'}", fakes) as service:
        farm = service.make_farm()
        service.open_office(farm)
        big_season(FarmBook(service.engine, id=farm))
        charts.wake()
        first_s = seconds_of(lambda: service.client.get("/season"))
        print_line(f"season page of {BEDS} beds, its picture drawn for the first time: {first_s * 1000:.0f} ms")
        with service.engine.connect() as connection:
            bare_s, ours_s = median_seconds(
                lambda: connection.exec_driver_sql("SELECT * FROM row_pass").fetchall(),
                lambda: service.client.get("/season"),
                times=5,
            )
        print_ratio(f"season page of {BEDS} beds", bare_s, ours_s)
