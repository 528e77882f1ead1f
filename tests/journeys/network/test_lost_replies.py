"""A reply lost after the service committed stores once."""

from shared_models.sync.wire import pack, unpack
from tests.server.support.service import Service


def test_a_page_sent_again_after_a_lost_reply_is_stored_once(any_service: Service) -> None:
    """A reply lost after the service committed stores once, however often the page is sent again."""
    farm = any_service.make_farm()
    phone = any_service.phone(farm)
    bed = phone.add_bed("North 1")
    phone.write("bed", bed, name="North one")
    body = pack(phone.page({}))

    lost = [phone.send(any_service, body).status_code for _ in range(3)]
    reply = phone.sync(any_service)

    assert lost == [200, 200, 200]
    assert reply.holds[phone.device][0] == 2
    assert any_service.beds(farm) == {bed: "North one"}
    assert any_service.faults(farm) == []


def test_a_page_that_overlaps_what_is_held_adds_only_what_is_new(any_service: Service) -> None:
    """A phone that does not know whether its last page arrived sends it again together with what came since."""
    farm = any_service.make_farm()
    phone = any_service.phone(farm)
    phone.add_bed("North 1")
    phone.send(any_service, pack(phone.page({})))
    phone.add_bed("North 2")

    answer = unpack(phone.send(any_service, pack(phone.page({}))).content)

    assert answer.refused == ()
    assert answer.holds[phone.device][0] == 2
    assert sorted(any_service.beds(farm).values()) == ["North 1", "North 2"]
