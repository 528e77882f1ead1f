"""The events of a history, each drawn from a number of its own, so that leaving one out leaves the others alone."""

import random
from collections.abc import Callable
from contextlib import suppress
from datetime import timedelta
from typing import NamedTuple

from mobile.sync import bundles
from shared_models.errors import RowendError
from tests.journeys.proof import entries
from tests.journeys.proof.crash import Crash, crashing
from tests.journeys.proof.liar import Liar
from tests.journeys.proof.phone import ProofPhone
from tests.journeys.proof.world import World

#: how often a backup brings the phone's keys along
SHARE_WITH_KEYS = 0.7
#: as many phones as a history may come to have
MOST_PHONES = 5


class Event(NamedTuple):
    """Something that happens: what, to which phone, and the number from which its details are drawn."""

    what: str
    phone: int
    draw: int

    def __str__(self) -> str:
        return f"{self.what}({self.phone}, {self.draw})"


Happening = Callable[[World, Liar, ProofPhone, random.Random], None]


def _enter(world: World, _: Liar, phone: ProofPhone, draw: random.Random) -> None:
    """Some entries, a few seconds apart."""
    for _entry in range(draw.randrange(1, 5)):
        entries.enter(world, phone, draw)
        world.wait(draw.randrange(1, 60))


def _same_moment(world: World, _: Liar, __: ProofPhone, draw: random.Random) -> None:
    entries.at_the_same_moment(world, draw)


def _office(world: World, _: Liar, __: ProofPhone, draw: random.Random) -> None:
    entries.edit_in_office(world, draw)


def _sync(world: World, _: Liar, phone: ProofPhone, draw: random.Random) -> None:
    world.sync(phone, draw)


def _late(world: World, _: Liar, __: ProofPhone, draw: random.Random) -> None:
    """Requests that were on their way for long arrive, in any order, some of them twice."""
    for _again in range(min(len(world.late), 3)):
        draw.choice(world.late)()
    world.look_at_office(new=False)


def _kill_phone(_: World, __: Liar, phone: ProofPhone, ___: random.Random) -> None:
    phone.reopen()


def _kill_in_entry(world: World, _: Liar, phone: ProofPhone, draw: random.Random) -> None:
    """The phone dies at some statement of an entry: it is there whole or not at all."""
    with suppress(Crash), crashing([phone.notebook.engine], draw.randrange(12)):
        entries.enter(world, phone, draw)
    phone.reopen()
    world.look_at(phone, new=True)


def _kill_in_sync(world: World, _: Liar, phone: ProofPhone, draw: random.Random) -> None:
    """The phone or the service dies at some statement of a sync."""
    with suppress(Crash, RowendError), crashing([phone.notebook.engine, world.engine], draw.randrange(60)):
        world.sync(phone, draw)
    world.reopen_service()
    phone.reopen()
    world.look_at(phone, new=False)
    world.look_at_office(new=False)


def _kill_service(world: World, *_: object) -> None:
    world.reopen_service()


def _backup_phone(world: World, _: Liar, phone: ProofPhone, __: random.Random) -> None:
    world.backups.append(phone.backup(world.home / f"backup-{len(world.backups)}"))


def _restore_phone(world: World, _: Liar, phone: ProofPhone, draw: random.Random) -> None:
    """An old backup of some phone, with its keys or without, takes the place of what the phone holds."""
    if world.backups:
        with world.destroying():
            phone.restore(draw.choice(world.backups), with_keys=draw.random() < SHARE_WITH_KEYS)
        world.ledger.forget(phone.name)
        world.mark_removed(phone)
        world.look_at(phone, new=False)


def _clone(world: World, _: Liar, phone: ProofPhone, draw: random.Random) -> None:
    """One more phone, made of this one as it is."""
    if len(world.phones) < MOST_PHONES:
        backup = phone.backup(world.home / f"clone-{len(world.phones)}")
        clone = world.add_phone()
        clone.restore(backup, with_keys=draw.random() < SHARE_WITH_KEYS)
        world.mark_removed(clone)
        world.look_at(clone, new=False)


def _wipe(world: World, _: Liar, phone: ProofPhone, __: random.Random) -> None:
    with world.destroying():
        phone.wipe()
    world.ledger.forget(phone.name)
    phone.removed = False
    world.pair(phone)


def _backup_service(world: World, *_: object) -> None:
    world.backup_service()


def _restore_service(world: World, _: Liar, __: ProofPhone, draw: random.Random) -> None:
    if world.service_backups:
        world.restore_service(draw.choice(world.service_backups))


def _set_clock(_: World, __: Liar, phone: ProofPhone, draw: random.Random) -> None:
    """Wrong by minutes or decades, right, or started again."""
    years = draw.choice([-56, -10, 1, 30, 73])
    wrong = draw.choice([timedelta(minutes=draw.randrange(-90, 90)), timedelta(days=365 * years), timedelta()])
    phone.clock.set_wrong_by(wrong)
    if draw.random() < 0.3:
        phone.clock.reboot()
        phone.reopen()


def _write_bundle(world: World, _: Liar, phone: ProofPhone, draw: random.Random) -> None:
    """A file of all that the phone holds, or the service."""
    if draw.random() < 0.3:
        world.bundles.append(world.make_bundle())
        return
    file, _entries = bundles.write_bundle(phone.notebook)
    world.bundles.append(file.read_bytes())
    world.look_at(phone, new=False)


def _read_bundle(world: World, _: Liar, phone: ProofPhone, draw: random.Random) -> None:
    """A file, old or new, sometimes cut, is read in by a phone or by the service."""
    if not world.bundles:
        return
    bundle = draw.choice(world.bundles)
    if draw.random() < 0.2:
        bundle = bundle[: draw.randrange(len(bundle))]
    with suppress(RowendError):
        if draw.random() < 0.4:
            world.take_bundle(bundle)
        else:
            bundles._import(phone.notebook, bundle)
    world.look_at(phone, new=False)


def _remove(world: World, _: Liar, phone: ProofPhone, __: random.Random) -> None:
    if sum(1 for _phone in world.honest()) > 1:
        world.remove(phone)


def _lie(world: World, liar: Liar, phone: ProofPhone, draw: random.Random) -> None:
    """The liar says something to the service, or gives a phone a file."""
    if not liar.secret:
        liar.pair(world.client, world.code())
    liar.listen(world.client)
    page = liar.lie(draw)
    world.ledger.lies |= liar.said
    if draw.random() < 0.6:
        liar.send(world.client, page)
        world.look_at_office(new=False)
    else:
        with suppress(RowendError):
            bundles._import(phone.notebook, page)
        world.look_at(phone, new=False)


HAPPENINGS: dict[str, tuple[Happening, int]] = {
    "enter": (_enter, 40),
    "same_moment": (_same_moment, 4),
    "office": (_office, 8),
    "sync": (_sync, 24),
    "late": (_late, 3),
    "kill_phone": (_kill_phone, 2),
    "kill_in_entry": (_kill_in_entry, 3),
    "kill_in_sync": (_kill_in_sync, 4),
    "kill_service": (_kill_service, 1),
    "backup_phone": (_backup_phone, 3),
    "restore_phone": (_restore_phone, 3),
    "clone": (_clone, 4),
    "wipe": (_wipe, 1),
    "backup_service": (_backup_service, 2),
    "restore_service": (_restore_service, 1),
    "set_clock": (_set_clock, 4),
    "write_bundle": (_write_bundle, 3),
    "read_bundle": (_read_bundle, 4),
    "remove": (_remove, 1),
    "lie": (_lie, 10),
}


def history(seed: int, events: int) -> list[Event]:
    """A random history: always the same of the same seed."""
    draw = random.Random(seed)
    kinds = draw.choices(list(HAPPENINGS), [weight for _, weight in HAPPENINGS.values()], k=events)
    return [Event(what, draw.randrange(MOST_PHONES), draw.getrandbits(32)) for what in kinds]


def happen(world: World, liar: Liar, event: Event) -> None:
    """Let one event happen."""
    world.wait(1 + event.draw % 300)
    phone = world.phones[event.phone % len(world.phones)]
    happening, _ = HAPPENINGS[event.what]
    happening(world, liar, phone, random.Random(event.draw))
