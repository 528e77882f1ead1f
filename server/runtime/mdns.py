"""The service says on the local network that it is here (mDNS), so that phones find it when its address has changed.

What everybody there can hear: that a Rowend service runs, at which address, and the sha256 of its certificate. That is
no more than anybody learns who connects to it; the farm's name is not told. A phone looks for the certificate it was
paired with, and whoever repeats another's fingerprint cannot show the certificate: nothing is handed over before that.
So only a service with a certificate of its own is announced.

Service types and TXT records: RFC 6763; multicast DNS: RFC 6762.
"""

from __future__ import annotations

import ipaddress
import socket
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager

import ifaddr
from zeroconf import Error as ZeroconfError
from zeroconf import ServiceInfo, Zeroconf

from server.runtime.address import everywhere

SERVICE_TYPE = "_rowend._tcp.local."
PIN = "pin"
_SHOWN = 12


def reachable_at(listens_on: str) -> list[str]:
    """The IPv4 addresses under which phones on a network reach a service that listens on this address."""
    if everywhere(listens_on):
        found = [str(each.ip) for adapter in ifaddr.get_adapters() for each in adapter.ips if each.is_IPv4]
    else:
        found = [listens_on]
    return [address for address in found if ":" not in address and not ipaddress.ip_address(address).is_loopback]


def service_info(addresses: Sequence[str], port: int, pin: str) -> ServiceInfo:
    """What is announced. Two services on one network have two certificates, so two names."""
    return ServiceInfo(
        SERVICE_TYPE,
        f"Rowend {pin[:_SHOWN]}.{SERVICE_TYPE}",
        port=port,
        addresses=[socket.inet_aton(address) for address in addresses],
        properties={PIN: pin},
        server=f"rowend-{pin[:_SHOWN]}.local.",
    )


def on_networks_of(addresses: Sequence[str]) -> Zeroconf:
    """Somebody who speaks on the networks of these addresses of this machine."""
    return Zeroconf(interfaces=list(addresses))


@contextmanager
def announced(
    addresses: Sequence[str],
    port: int,
    pin: str,
    speaker_on: Callable[[Sequence[str]], Zeroconf] = on_networks_of,
) -> Iterator[str]:
    """Announce the service on the networks of these addresses until the block ends.

    Yields:
        Why it cannot be announced, empty when it is: a service that nobody finds can be reached all the same.
    """
    try:
        speaker = speaker_on(addresses)
    except OSError as problem:
        yield str(problem)
        return
    try:
        yield _tell_all(speaker, service_info(addresses, port, pin))
    finally:
        speaker.unregister_all_services()
        speaker.close()


def _tell_all(speaker: Zeroconf, info: ServiceInfo) -> str:
    try:
        speaker.register_service(info)
    except (OSError, ZeroconfError) as problem:
        return str(problem) or type(problem).__name__
    return ""
