"""What phones sent and the service did not take, in words for the farm's owner."""

from sqlalchemy import select

from server.db.tables import Device, DeviceKind
from server.farms.refusals import TOLD, Refusal, refusals_of
from server.farms.sync_limits import RECORD_LINES
from server.office.shell.context import OfficeContext
from shared_models.errors import RemovedPhone
from shared_models.log import log
from shared_models.records.tables import table_of

_DEVICE = table_of(Device).c

#: by the limit that a phone reached (`farms/sync_limits.py`)
_LIMITS = {
    "hour-logs": "too many new logs in an hour",
    "hour-lines": "too many entries in an hour",
    "hour-bytes": "too much data in an hour",
    "hour-lock_ms": "entries that took the service too long",
    "all-logs": "too many logs",
    "all-lines": "too many entries",
    "all-bytes": "too much data",
    RECORD_LINES: "too many entries about one record",
}


class RefusalTexts:
    """The refusals of the last weeks, by the phone that sent what was refused."""

    def __init__(self, context: OfficeContext) -> None:
        self._context, self._t = context, context.localizer.t
        connection, farm = context.session.connection(), context.farm.id
        self._refusals = refusals_of(connection, farm, context.now)
        devices = select(_DEVICE.id, _DEVICE.name, _DEVICE.kind).where(_DEVICE.farm_id == farm)
        self._names = {row.id: row.name for row in connection.execute(devices)}
        self._office = {row.id for row in connection.execute(devices.where(_DEVICE.kind != DeviceKind.PHONE))}
        self._origins = {head.device: head.origin for head in log.heads(connection, farm)}

    def limited(self, phone: str) -> bool:
        """Whether a phone reached a limit lately."""
        return any(each.sender == phone and each.code not in TOLD for each in self._refusals)

    def of(self, phone: str) -> list[str]:
        """What a phone sent and was not taken: a sentence for each."""
        return [self._sentence(each) for each in self._refusals if each.sender == phone]

    def _sentence(self, refusal: Refusal) -> str:
        t, at = self._t, self._context.localizer.date_time(refusal.last_at)
        writer = self._origins.get(refusal.log, refusal.log)
        name = self._names.get(writer) or t("an unknown phone")
        if refusal.code in _LIMITS:
            what = t(_LIMITS[refusal.code])
            return t("It sent {what}, last on {at}. The rest was not taken and stays on the phone.", what=what, at=at)
        if refusal.code == RemovedPhone.code:
            return t(
                "It handed on entries from {name}, which was removed. They were not taken. To bring them in, save a "
                "file on this phone, then run: rowend take-in FILE --removed PHONE (last on {at})",
                name=name,
                at=at,
            )
        if writer in self._office:
            what = t("It sent entries in the office's name, last on {at}.", at=at)
        elif writer == refusal.sender:
            what = t("It sent entries that it did not sign, last on {at}.", at=at)
        else:
            what = t("It sent entries in the name of {name}, last on {at}.", name=name, at=at)
        return f"{what} {t('They were not taken. Remove this phone if you do not know why.')}"
