"""Kinds and fields from a newer app survive an older phone and an older server."""

import json

from shared_models.core import clock
from shared_models.sync.wire import Page
from tests.server.support.service import FakeProviders, Service
from tests.shared_models.log.device import run_of


def line(fakes: FakeProviders, seq: int, kind: str, record: str, **fields: object) -> str:
    """A line as an app of next year writes it."""
    stamp = clock.to_text(clock.tick(seq, int(fakes.time.timestamp() * 1000)))
    return json.dumps({"seq": seq, "stamp": stamp, "kind": kind, "record": record, "mood": "fine", "set": fields})


def test_what_this_service_does_not_know_is_kept_and_handed_on(any_service: Service) -> None:
    """Kinds and fields from a newer app survive this service: other phones get the very same lines."""
    farm = any_service.make_farm()
    newer, other = any_service.phone(farm), any_service.phone(farm)
    bed = any_service.fakes.new_id()
    texts = (
        line(any_service.fakes, 1, "bed", bed, name="North 1", length_mm=30_480, rows=4, slope_pct=2.5),
        line(any_service.fakes, 2, "irrigation_valve", any_service.fakes.new_id(), opens="left"),
        line(any_service.fakes, 3, "bed", bed, slope_pct=None, drainage={"tiles": [1, 2]}),
    )

    reply = newer.exchange(any_service, Page(farm, {}, [run_of(newer.device, *texts)]))
    other.sync(any_service)

    assert reply.refused == ()
    assert any_service.beds(farm) == {bed: "North 1"}
    (run,) = [run for run in other.page({}).runs if run.device == newer.device]
    assert run.texts == texts
    assert any_service.faults(farm) == []
