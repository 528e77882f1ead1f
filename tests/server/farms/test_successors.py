"""One successor for each fork, and a few a day for a phone that lost its key."""

from dataclasses import replace

from server.farms.successors import MOST_SUCCESSORS, MOST_UNTOLD
from shared_models.sync.wire import Page, pack, unpack
from tests.server.farms.test_pairing import succeed
from tests.server.support.service import Phone, Service
from tests.shared_models.log.device import run_of


def succeed_as_new(service: Service, phone: Phone) -> int:
    return succeed(service, phone, service.fakes.new_device()).status_code


def use_up_untold(service: Service, phone: Phone) -> None:
    statuses = [succeed_as_new(service, phone) for _ in range(MOST_UNTOLD + 1)]
    assert statuses == [200] * MOST_UNTOLD + [403]


def fork(service: Service, phone: Phone) -> None:
    """Let a phone be told that its log has another history here."""
    if phone.device not in service.holds(phone.farm):
        phone.add_bed("North 1")
        phone.sync(service)
    held = service.holds(phone.farm)[phone.device]
    answer = unpack(phone.send(service, pack(Page(phone.farm, {phone.device: (held[0], "0" * 64)}))).content)
    assert phone.device in {run.device for run in answer.runs}


def test_a_fork_gives_one_successor(service: Service, farm: str) -> None:
    phone = service.phone(farm)
    use_up_untold(service, phone)

    fork(service, phone)

    assert [succeed_as_new(service, phone) for _ in range(2)] == [200, 403]


def test_a_phone_whose_line_was_refused_may_go_on_as_another(service: Service, farm: str) -> None:
    phone = service.phone(farm)
    use_up_untold(service, phone)
    phone.add_bed("North 1")
    (run,) = phone.page({}).runs

    phone.send(service, pack(Page(farm, {}, [replace(run, signature=b"")])))
    assert succeed_as_new(service, phone) == 403, "anybody could have written that"
    phone.send(service, pack(Page(farm, {}, [run_of(phone.device, "no line")])))

    assert [succeed_as_new(service, phone) for _ in range(2)] == [200, 403]


def test_a_phone_that_lost_its_key_goes_on_as_another_a_few_times_a_day(service: Service, farm: str) -> None:
    phone = service.phone(farm)

    use_up_untold(service, phone)
    service.fakes.wait(days=1)

    assert succeed_as_new(service, phone) == 200


def test_no_phone_has_very_many_successors(service: Service, farm: str) -> None:
    phone, statuses = service.phone(farm), []

    for _ in range(MOST_SUCCESSORS + 2):
        fork(service, phone)
        statuses.append(succeed_as_new(service, phone))

    assert statuses == [200] * MOST_SUCCESSORS + [403] * 2
    assert succeed_as_new(service, service.phone(farm)) == 200
