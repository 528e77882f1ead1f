"""Views of the pages of the phones and of pairing one."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from markupsafe import Markup

from server.farms.phones import PairedPhone, pairing_status, phones_of
from server.farms.qr import pairing_link, qr_svg
from server.farms.successors import successors_of
from server.farms.tokens import format_code
from server.office.people.refusals import RefusalTexts
from server.office.shell.context import OfficeContext
from server.office.shell.view import Fact
from server.runtime.address import is_this_machine_only, known_address, known_pin
from shared_models.errors import BadLink
from shared_models.log import log
from shared_models.log.log import Head
from shared_models.records.tables import Person
from shared_models.reports.rows.phone_clocks import phone_clock

_S_PER_MINUTE, _S_PER_HOUR = 60, 3600


@dataclass(frozen=True, slots=True)
class PhoneLine:
    """One phone with its facts, and the issues that somebody should know of."""

    id: str
    name: str
    removed: bool
    facts: tuple[Fact, ...]
    issues: tuple[str, ...]
    log: str
    #: it reached a limit, and may be let on
    limited: bool
    #: what else goes, or stays, when it is removed
    removing: str


@dataclass(frozen=True, slots=True)
class PairingPage:
    """What a phone needs to pair, and whether it has."""

    code: str
    link: str
    qr: Markup
    address: str
    local_only: bool
    unencrypted: bool
    until: str
    expired: bool
    joined: str


def phone_lines(context: OfficeContext) -> list[PhoneLine]:
    """Every paired phone, also removed ones."""
    connection = context.session.connection()
    heads = {head.device: head for head in log.heads(connection, context.farm.id)}
    phones = {phone.id: phone for phone in phones_of(connection, context.farm.id)}
    refusals = RefusalTexts(context)
    return [_line(context, phone, heads.get(phone.id), phones, refusals) for phone in phones.values()]


def _line(
    context: OfficeContext,
    phone: PairedPhone,
    head: Head | None,
    phones: Mapping[str, PairedPhone],
    refusals: RefusalTexts,
) -> PhoneLine:
    localizer, t = context.localizer, context.localizer.t
    clock = phone_clock(context.session, context.farm.id, head) if head else None
    seen = localizer.date_time(phone.last_seen_at) if phone.last_seen_at else t("never")
    lines = head.seq if head else 0
    person = context.session.get(Person, (context.farm.id, clock.by)) if clock and clock.by else None
    facts = [
        Fact(t("Last sync"), seen),
        Fact(t("Used by"), person.name if person else t("not entered")),
        Fact(t("Entries received"), localizer.number(lines)),
        Fact(t("Paired"), localizer.date_time(phone.paired_at)),
    ]
    if clock and clock.last_written:
        facts.insert(3, Fact(t("Last entry"), t("{at} (phone clock)", at=localizer.date_time(clock.last_written))))
    if phone.removed_at:
        facts.append(Fact(t("Removed"), localizer.date_time(phone.removed_at)))
    names = {each.id: each.name for each in phones.values()}
    issues = [*refusals.of(phone.id), *_issues(context, phone, clock.last_written if clock else None, names)]
    if clock and clock.off and clock.seen_at:
        how_far = _span(context, abs(clock.off))
        at = localizer.date_time(clock.seen_at)
        issues.append(
            t("Its clock was {span} fast at {at}. Reports correct for that.", span=how_far, at=at)
            if clock.off > timedelta()
            else t("Its clock was {span} slow at {at}. Reports correct for that.", span=how_far, at=at)
        )
    return PhoneLine(
        phone.id,
        phone.name,
        phone.removed_at is not None,
        tuple(facts),
        tuple(issues),
        f"/log?phone={phone.id}",
        refusals.limited(phone.id),
        _removing(context, phone, phones),
    )


def _removing(context: OfficeContext, phone: PairedPhone, phones: Mapping[str, PairedPhone]) -> str:
    """What else goes, or stays, when a phone is removed."""
    t = context.localizer.t
    later = [phones[each] for each in successors_of(context.session.connection(), [phone.id]) if each in phones]
    names = ", ".join(
        t("{name}, paired {at}", name=each.name, at=context.localizer.date_time(each.paired_at))
        for each in later
        if not each.removed_at
    )
    before = phones.get(phone.continues or "")
    sentences = [t("This also removes the phone that went on from it: {names}.", names=names)] if names else []
    if before and not before.removed_at:
        sentences.append(t("{name}, which it went on from, stays paired. Remove that one too.", name=before.name))
    return " ".join(sentences)


def _issues(context: OfficeContext, phone: PairedPhone, wrote: datetime | None, names: dict[str, str]) -> Iterable[str]:
    t = context.localizer.t
    if phone.continues:
        was = names.get(phone.continues) or t("another phone")
        yield t(
            "It was restored from a backup, or copied from {name}, and both went on under one id. Each has its own log "
            "now; nothing was lost.",
            name=was,
        )
    if wrote and phone.last_seen_at and wrote > phone.last_seen_at + timedelta(minutes=2):
        ahead = _span(context, wrote - phone.last_seen_at)
        yield t("Its clock is at least {span} fast. Correct it in the phone's settings.", span=ahead)


def _span(context: OfficeContext, time: timedelta) -> str:
    seconds, localizer = time.total_seconds(), context.localizer
    if seconds < 2 * _S_PER_HOUR:
        return localizer.tn("{n} minute", "{n} minutes", round(seconds / _S_PER_MINUTE))
    return localizer.span(seconds / _S_PER_HOUR)


def pairing_page(context: OfficeContext, code: str) -> PairingPage | None:
    """Build the pairing page; None if there is no such code (any more)."""
    connection, t = context.session.connection(), context.localizer.t
    status = pairing_status(connection, context.farm.id, code, context.now)
    if status is None:
        return None
    address = known_address(connection)
    try:
        link = pairing_link(connection, code)
    except BadLink:
        link = ""
    return PairingPage(
        code=format_code(code),
        link=link,
        qr=Markup(qr_svg(link) if link else ""),  # noqa: S704 - drawn here, of modules only
        address=address,
        local_only=is_this_machine_only(address),
        unencrypted=known_pin(connection) is None and not address.startswith("https://"),
        until=f"{context.localizer.local(status.expires_at):%H:%M}",
        expired=status.expired,
        joined=t("{name} is paired.", name=status.phone.name) if status.phone else "",
    )
