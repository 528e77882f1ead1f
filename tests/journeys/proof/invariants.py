"""What must hold when a history is over and the network is quiet."""

import json
from collections import Counter
from collections.abc import Collection, Mapping

from tests.journeys.proof import oracle
from tests.journeys.proof.ledger import Broken, contents_in
from tests.journeys.proof.liar import Liar
from tests.journeys.proof.oracle import Fields, HeldLog, Record, Sql, content_of
from tests.journeys.proof.phone import ProofPhone
from tests.journeys.proof.world import World

#: syncs of each phone after which all must hold the same
ROUNDS = 2
#: requests in one quiet sync: a few, and a few more for each log that has to be shown from its start
REQUESTS, REQUESTS_A_LOG = 10, 3


def come_to_rest(world: World) -> None:
    """Let all phones sync over a good network, as often as it may take."""
    for _ in range(ROUNDS):
        for phone in world.honest():
            before = phone.network.requests
            world.sync(phone)
            most = REQUESTS + REQUESTS_A_LOG * len(phone.logs())
            if phone.network.requests - before > most:
                raise Broken(f"{phone.name} needed {phone.network.requests - before} requests for one sync")


def check(world: World, liar: Liar) -> None:
    """Every promise about a history that came to rest.

    Raises:
        Broken: with the first promise that does not hold.
    """
    service = world.service_logs()
    strange = liar.identities | world.removed_devices
    _chains("the service", service, strange)
    _nothing_lost_or_twice(world, liar, service)
    _records("the service", world.database.rows, world.farm, service, liar)
    _verified("the service", world.service_faults())
    for phone in world.honest():
        logs = phone.logs()
        _chains(phone.name, logs, strange)
        _same_logs(phone, logs, service, world.removed_devices)
        _records(phone.name, phone.rows, phone.farm, logs, liar)
        _verified(phone.name, phone.faults())
        stranded = sum(len(log.lines) for log in logs.values() if log.origin in liar.identities | world.removed_devices)
        if phone.notebook.only_here > stranded:
            raise Broken(f"{phone.name} says that it alone holds {phone.notebook.only_here} entries")


def _chains(who: str, logs: Mapping[str, HeldLog], may_be_unsigned: Collection[str]) -> None:
    for device, log in logs.items():
        for fault in oracle.chain_faults(log):
            raise Broken(f"{who}: the log of {device} {fault}")
        if oracle.unsigned(log) and not log.private and log.origin not in may_be_unsigned:
            raise Broken(f"{who}: {oracle.unsigned(log)} lines of {device} are not signed")


def _nothing_lost_or_twice(world: World, liar: Liar, service: Mapping[str, HeldLog]) -> None:
    ledger = world.ledger
    honest = [log for log in service.values() if log.origin not in liar.identities]
    held = contents_in(honest)
    if lost := {content for content in ledger.due if not ledger.is_in(held, content)}:
        raise Broken(f"lost: {len(lost)} entries, such as {min(lost)} of {ledger.confirmed[min(lost)]}")
    for log in honest:
        for line in log.lines:
            if line.text not in ledger.texts[log.origin]:
                raise Broken(f"forged: line {line.seq} of {log.device}: {line.text}")
    twice = {content: count for content, count in held.items() if count > 1 + ledger.copies[content]}
    if twice:
        raise Broken(f"stored twice: {twice}")
    digests = Counter(line.digest for log in service.values() for line in log.lines)
    if repeated := [digest for digest, count in digests.items() if count > 1]:
        raise Broken(f"{len(repeated)} lines stand in two logs of the service")


def _same_logs(
    phone: ProofPhone, logs: Mapping[str, HeldLog], service: Mapping[str, HeldLog], removed: Collection[str]
) -> None:
    """Both hold the same, but for what phones that were removed had not handed over."""
    ours = {device: end for device, end in _signed_ends(logs).items() if logs[device].origin not in removed}
    theirs = {device: end for device, end in _signed_ends(service).items() if service[device].origin not in removed}
    if ours != theirs:
        apart = sorted(device for device in {*ours, *theirs} if ours.get(device) != theirs.get(device))
        told = [f"{device} {_seq(ours, device)} here, {_seq(theirs, device)} there" for device in apart]
        raise Broken(f"{phone.name} and the service hold different logs: {', '.join(told)}")
    if any("wage" in line.text for log in logs.values() for line in log.lines):
        raise Broken(f"{phone.name} was told a wage")


def _signed_ends(logs: Mapping[str, HeldLog]) -> dict[str, tuple[int, bytes]]:
    """How far each log goes that others may get, and its digest there.

    The liar can sign a log with a line that nobody can take: of such a log each side keeps what comes before that line,
    and cannot pass it on.
    """
    ends = {}
    for device, log in logs.items():
        seq = max(log.signed, default=log.base_seq)
        if seq > log.base_seq and not log.private:
            ends[device] = (seq, log.lines[seq - log.base_seq - 1].digest)
    return ends


def _seq(heads: Mapping[str, tuple[int, bytes]], device: str) -> int:
    return heads.get(device, (0, b""))[0]


def _records(who: str, sql: Sql, farm: str, logs: Mapping[str, HeldLog], liar: Liar) -> None:
    """Every table shows the fold of the lines, and every record that cannot be shown is flagged."""
    folded = {record: fields for record, fields in oracle.fold(logs.values()).items() if record[0] in oracle.TABLES}
    flagged = oracle.flagged_in(sql, farm)
    lied_about = {
        json.loads(line.text)["record"]
        for log in logs.values()
        for line in log.lines
        if log.origin in liar.identities or content_of(line.text)[1:] in liar.said
    }
    for kind in oracle.TABLES:
        of_kind = {record: fields for (named, record), fields in folded.items() if named == kind}
        shown = oracle.rows_in(sql, farm, kind)
        if strangers := shown.keys() - of_kind.keys():
            raise Broken(f"{who} shows {kind} {min(strangers)}, of which no line speaks")
        for record, fields in of_kind.items():
            _record(who, (kind, record), fields, shown.get(record), flagged.get((kind, record)))
            if (kind, record) in flagged and record not in lied_about and not oracle.broken_rules(kind, fields):
                raise Broken(f"{who} flagged {kind} {record}, which breaks no rule: {fields}")


def _record(
    who: str, record: Record, fields: Fields, shown: Fields | None, flagged: tuple[Fields, bool] | None
) -> None:
    name = " ".join(record)
    if flagged is not None:
        if flagged[0] != fields:
            raise Broken(f"{who} flagged {name} as {flagged[0]}, the lines say {fields}")
        if flagged[1] != (shown is not None):
            raise Broken(f"{who} does not keep the last good form of {name} as it says")
        return
    if shown is None:
        raise Broken(f"{who} neither shows nor flags {name}")
    if broken := oracle.broken_rules(record[0], fields):
        raise Broken(f"{who} did not flag {name}, which breaks {broken}: {fields}")
    for column, value in shown.items():
        if not oracle.is_same(value, fields.get(column)):
            raise Broken(f"{who} shows {name} with {column} {value!r}, the lines say {fields.get(column)!r}")


def _verified(who: str, faults: list[str]) -> None:
    if faults:
        raise Broken(f"verify says of {who}: {faults[0]}")
