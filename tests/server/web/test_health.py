"""Is the service up?"""

from sqlalchemy import event

from tests.server.support.service import Service


def test_a_service_that_can_read_its_database_is_well(any_service: Service) -> None:
    assert any_service.client.get("/healthz").json() == {"status": "ok"}


def test_a_service_without_its_database_says_so(service: Service) -> None:
    service.engine.dispose()
    event.listen(service.engine, "connect", lambda connection, _: connection.close())

    answer = service.client.get("/healthz")

    assert answer.status_code in {500, 503}
