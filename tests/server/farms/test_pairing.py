"""POST /v1/pair."""

import json
from concurrent.futures import ThreadPoolExecutor

import httpx2
import pytest

from server.auth.rate_limit import MAX_FAILURES, WINDOW
from server.farms.edits import office_device
from server.farms.pairing import CODE_LIFE
from server.farms.tokens import format_code
from shared_models.log.store import reading
from shared_models.sync.wire import pack
from tests.server.support.service import ZONE, Phone, Service
from tests.shared_models.log.device import identity


def test_a_code_makes_a_phone_a_device_of_the_farm(any_service: Service) -> None:
    farm = any_service.make_farm("Heronbrook")
    phone = Phone(farm, any_service.fakes)

    answer = any_service.pair(code=any_service.code(farm), device=phone.device, name="Field phone")

    body = answer.json()
    assert answer.status_code == 200
    assert body | {"secret": ""} == {
        "farm": farm,
        "farm_name": "Heronbrook",
        "zone": ZONE,
        "device": phone.device,
        "secret": "",
    }
    phone.bearer = f"{phone.device}.{body['secret']}"
    phone.sync(any_service)


def test_a_code_may_be_typed_with_small_letters_and_gaps(service: Service, farm: str) -> None:
    code = format_code(service.code(farm)).lower().replace("-", " ")

    assert _pair(service, code).status_code == 200


def test_used_old_and_unknown_codes_get_the_same_answer(service: Service, farm: str) -> None:
    """An answer does not show whether a code was ever valid."""
    used, old = service.code(farm), service.code(farm)
    assert _pair(service, used).status_code == 200
    replayed = _pair(service, used)
    service.fakes.wait(seconds=CODE_LIFE.total_seconds())
    too_late = _pair(service, old)
    never = _pair(service, "BCDFGHJK")

    assert replayed.status_code == 403
    assert replayed.json()["code"] == "expired-code"
    assert replayed.content == too_late.content == never.content


@pytest.mark.parametrize("code", ["", "x" * 40, "'; DROP TABLE pairing_code; --", "\x00", "ＢＣＤＦＧＨＪＫ"])
def test_nonsense_for_a_code_is_an_unknown_code(service: Service, farm: str, code: str) -> None:
    good = service.code(farm)

    assert _pair(service, code).json()["code"] == "expired-code"
    assert _pair(service, good).status_code == 200


def test_a_phone_that_pairs_again_gets_a_new_secret(service: Service, farm: str) -> None:
    phone = service.phone(farm)
    old = phone.bearer
    phone.add_bed("North 1")

    phone.pair(service, service.code(farm))
    phone.sync(service)

    assert phone.bearer != old
    assert list(service.beds(farm).values()) == ["North 1"]
    phone.bearer = old
    assert phone.send(service, pack(phone.page({}))).status_code == 401


def test_a_phone_of_another_farm_is_refused_and_the_code_stays_good(service: Service, farm: str) -> None:
    other = service.make_farm("Oak Hollow")
    phone = service.phone(other)
    code = service.code(farm)

    by_its_word = service.pair(code=code, device=service.fakes.new_device(), name="A", farm=other)
    by_its_log = service.pair(code=code, device=phone.device, name="A")

    assert [by_its_word.json()["code"], by_its_log.json()["code"]] == ["other-farm", "other-farm"]
    assert _pair(service, code).status_code == 200


def test_a_phone_cannot_take_the_offices_place(service: Service, farm: str) -> None:
    with reading(service.engine) as connection:
        office = office_device(connection, farm)

    answer = service.pair(code=service.code(farm), device=office, name="Office")

    assert (answer.status_code, answer.json()["code"]) == (403, "not-allowed")


def test_after_a_fork_a_phone_gets_a_secret_for_its_new_id_with_the_old_one(any_service: Service) -> None:
    """The old id keeps its secret (another copy of the phone may go on with it); asking twice is no harm."""
    farm = any_service.make_farm()
    phone = any_service.phone(farm)
    new_id = any_service.fakes.new_device()

    first, again = (succeed(any_service, phone, new_id) for _ in range(2))

    assert (first.status_code, again.status_code) == (200, 200)
    successor = Phone(farm, any_service.fakes)
    successor.device, successor.bearer = new_id, f"{new_id}.{again.json()['secret']}"
    successor.sync(any_service)
    phone.sync(any_service)


def test_a_phone_cannot_succeed_a_device_that_is_not_its_own(service: Service, farm: str) -> None:
    phone, other = service.phone(farm), service.phone(farm)

    answer = succeed(service, phone, other.device)

    assert (answer.status_code, answer.json()["code"]) == (403, "not-allowed")
    other.sync(service)


def test_of_two_phones_that_use_a_code_at_once_one_is_paired(any_service: Service) -> None:
    code = any_service.code(any_service.make_farm())

    with ThreadPoolExecutor(6) as pool:
        answers = list(pool.map(lambda _: _pair(any_service, code).status_code, range(6)))

    assert sorted(answers) == [200, *[403] * 5]


def test_a_successor_stays_on_its_farm(service: Service, farm: str) -> None:
    phone = service.phone(farm)
    phone.farm = service.make_farm("Oak Hollow")

    answer = succeed(service, phone, service.fakes.new_device())

    assert (answer.status_code, answer.json()["code"]) == (403, "other-farm")


def test_a_phone_without_code_or_good_secret_is_not_paired(service: Service, farm: str) -> None:
    phone = service.phone(farm)
    phone.bearer = phone.bearer[:-1] + "x"

    without = service.pair(device=service.fakes.new_device(), name="A")
    wrong = succeed(service, phone, service.fakes.new_device())

    assert [without.status_code, wrong.status_code] == [401, 401]
    assert without.headers["www-authenticate"] == "Bearer"


def test_after_many_wrong_codes_one_has_to_wait(service: Service, farm: str) -> None:
    good = service.code(farm)
    for _ in range(MAX_FAILURES):
        assert _pair(service, "BCDFGHJK").status_code == 403

    refused = _pair(service, good)
    service.fakes.wait(seconds=int(refused.headers["retry-after"]))

    assert (refused.status_code, refused.json()["code"]) == (429, "too-many-tries")
    assert int(refused.headers["retry-after"]) <= WINDOW.total_seconds()
    assert _pair(service, good).status_code == 200


def test_a_code_for_a_lost_farm_needs_a_phone_that_brings_one(service: Service) -> None:
    code = service.code(None)

    empty_handed = _pair(service, code)
    bringing = service.pair(code=code, device=service.fakes.new_device(), name="A", farm=service.fakes.new_id())

    assert (empty_handed.status_code, empty_handed.json()["code"]) == (409, "wrong-moment")
    assert bringing.status_code == 200
    assert bringing.json()["farm_name"] is None


def test_a_code_for_a_lost_farm_opens_no_farm_that_is_here(service: Service, farm: str) -> None:
    answer = service.pair(code=service.code(None), device=service.fakes.new_device(), name="A", farm=farm)

    assert (answer.status_code, answer.json()["code"]) == (403, "other-farm")


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("device", "not-an-id"),
        ("device", "00000000-0000-7000-8000-00000000000G"),
        ("device", None),
        ("name", ""),
        ("name", "x" * 121),
        ("name", "a\x00b"),
        ("name", ["a"]),
        ("farm", "elsewhere"),
        ("code", "x" * 41),
        ("code", 12345678),
    ],
)
def test_a_request_of_the_wrong_shape_names_the_field(service: Service, farm: str, field: str, value: object) -> None:
    asked = {"code": service.code(farm), "device": service.fakes.new_device(), "name": "A"}

    answer = service.pair(**asked | {field: value})

    assert answer.status_code == 422
    assert list(answer.json()["problems"]) == [field]


def test_a_name_that_is_half_a_letter_is_refused(service: Service, farm: str) -> None:
    """JSON can say what no text can hold."""
    code = service.code(farm)
    asked = {"code": code, "name": "HALF"} | identity(service.fakes.new_device(), code)
    body = json.dumps(asked).replace("HALF", "\\ud800")

    answer = service.client.post("/v1/pair", content=body, headers={"Content-Type": "application/json"})

    assert answer.status_code == 422
    assert list(answer.json()["problems"]) == ["name"]


def _pair(service: Service, code: str) -> httpx2.Response:
    return service.pair(code=code, device=service.fakes.new_device(), name="A phone")


def succeed(service: Service, phone: Phone, device: str) -> httpx2.Response:
    asked = {"name": "Field phone", "farm": phone.farm} | identity(device, phone.device)
    return service.client.post("/v1/pair", json=asked, headers={"Authorization": f"Bearer {phone.bearer}"})
