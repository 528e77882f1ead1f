"""Lines that another phone, or a newer program, wrote, as they come with a sync: nothing here checks them first."""

from typing import Any

from mobile.log.notebook import Notebook
from shared_models.core import clock, p256
from shared_models.core.revision import Revision, root, text_of
from shared_models.log.ingest import ingest
from shared_models.log.log import farm_clock, find
from tests.shared_models.log.device import new_device, run_of

OTHER_PHONE = new_device(0xFADE)


def bring(notebook: Notebook, kind: str, record: str, *, stamp: int | None = None, **changed: Any) -> None:
    """Take in one line of the other phone; written after all that is held here, unless `stamp` says otherwise."""
    with notebook.writing() as connection:
        held = find(connection, OTHER_PHONE)
        seq, before = (0, root(OTHER_PHONE)) if held is None else (held.seq, held.digest)
        at = clock.tick(farm_clock(connection, notebook.farm), 0) if stamp is None else stamp
        text = text_of(Revision(OTHER_PHONE, seq + 1, at, kind, record, changed))
        run = run_of(OTHER_PHONE, text, after=seq, before=before)
        assert ingest(connection, notebook.farm, [run], p256.verify).stored == 1
