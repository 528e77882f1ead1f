"""A service that answers anything in the form of the protocol: the phone ends in a named error, and syncs later."""

from contextlib import suppress
from functools import partial
from pathlib import Path

import pytest
import requests
from hypothesis import Phase, example, given, settings
from hypothesis import strategies as st

from shared_models.core import clock
from shared_models.errors import RowendError
from shared_models.log.log import Span
from shared_models.sync.wire import MEDIA_TYPE, Page, Verdict, pack
from tests.fixtures.network import Deliver, answer
from tests.journeys.support.farm_service import FarmService, FieldPhone
from tests.shared_models.log.device import PHONE, TABLET

OWN = "own"


def refusal(device: str) -> Verdict:
    return Verdict(code="line-refused", device=device, seq=1, reason="because")


devices = st.sampled_from([OWN, PHONE, TABLET])
seqs = st.sampled_from([0, 1, 2, 3, 7, 2**53 - 1])
digests = st.sampled_from(["0" * 64, "f" * 64])
verdicts = st.builds(
    Verdict.model_construct,
    code=st.sampled_from(["fork", "line-refused", "not-signed", "stamp-ahead", "next-year"]),
    device=devices,
    seq=seqs,
    reason=st.just("because"),
    common=st.none() | seqs,
)
pages = st.builds(
    Page,
    st.just(""),
    st.dictionaries(devices, st.tuples(seqs, digests)),
    st.just(()),
    st.lists(verdicts, max_size=3).map(tuple),
    st.builds(Span, st.just(""), st.none() | st.sampled_from([PHONE, TABLET])),
    st.none() | st.integers(0, clock.LATEST),
)


@pytest.fixture(scope="module")
def phones(tmp_path_factory: pytest.TempPathFactory) -> tuple[FarmService, FieldPhone]:
    folder: Path = tmp_path_factory.mktemp("hostile")
    service = FarmService(folder / "service")
    phone = FieldPhone.paired(service, folder / "phone", seed=1)
    phone.add_beds(3)
    return service, phone


def says(page: Page, own: str, request: requests.PreparedRequest, _: Deliver) -> requests.Response:
    def named(device: str) -> str:
        return own if device == OWN else device

    refused = [verdict.model_copy(update={"device": named(verdict.device)}) for verdict in page.refused]
    holds = {named(device): held for device, held in page.holds.items()}
    said = pack(Page(page.farm, holds, (), refused, page.span, page.latest))
    return answer(200, said, {"Content-Type": MEDIA_TYPE}, request)


@settings(max_examples=max(20, settings().max_examples // 20), phases=[Phase.explicit, Phase.generate])
@given(st.lists(pages, min_size=1, max_size=4))
@example([Page("", {}, (), (refusal(PHONE),)), Page("", {}, (), (refusal(PHONE),))])
def test_whatever_a_service_says_the_phone_syncs_afterwards(
    phones: tuple[FarmService, FieldPhone], said: list[Page]
) -> None:
    service, phone = phones
    notebook = phone.phone.notebook
    phone.add_beds(1)
    phone.fail_with(
        *(
            partial(says, Page(service.farm, page.holds, (), page.refused, page.span, page.latest), notebook.device)
            for page in said
        )
    )

    with suppress(RowendError):
        phone.sync_client.sync()
    phone.fail_with()
    for _ in range(2):  # what it had believed costs one sync at most
        phone.sync_client.sync()

    assert notebook.only_here == 0
    assert service.records() == phone.records()
