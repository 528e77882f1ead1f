"""Announce the service by mDNS (RFC 6762, RFC 6763), so that paired phones find it when its address changes.

Everybody on the network sees its address and its certificate's sha256, no more than who connects to it; not the farm's
name. A phone sends nothing before it has seen the certificate itself, so a copied fingerprint gains nothing. A service
without a certificate of its own is not announced.
"""

import ipaddress
import socket
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager

import ifaddr
from zeroconf import Error as ZeroconfError
from zeroconf import ServiceInfo, Zeroconf

from server.runtime.address import listens_on_all

SERVICE_TYPE = "_rowend._tcp.local."
PIN = "pin"
_NAME_DIGITS = 12


def reachable_at(listens_on: str) -> list[str]:
    """The IPv4 addresses at which phones reach a service that listens on this address."""
    if listens_on_all(listens_on):
        found = [str(each.ip) for adapter in ifaddr.get_adapters() for each in adapter.ips if each.is_IPv4]
    else:
        found = [listens_on]
    return [address for address in found if ":" not in address and not ipaddress.ip_address(address).is_loopback]


def service_info(addresses: Sequence[str], port: int, pin: str) -> ServiceInfo:
    """The announcement, named by the certificate: two services on one network have two names."""
    return ServiceInfo(
        SERVICE_TYPE,
        f"Rowend {pin[:_NAME_DIGITS]}.{SERVICE_TYPE}",
        port=port,
        addresses=[socket.inet_aton(address) for address in addresses],
        properties={PIN: pin},
        server=f"rowend-{pin[:_NAME_DIGITS]}.local.",
    )


def on_networks_of(addresses: Sequence[str]) -> Zeroconf:
    """An mDNS responder on the networks of these addresses of this machine."""
    return Zeroconf(interfaces=list(addresses))


@contextmanager
def announced(
    addresses: Sequence[str],
    port: int,
    pin: str,
    responder_on: Callable[[Sequence[str]], Zeroconf] = on_networks_of,
) -> Iterator[str]:
    """Announce the service on the networks of these addresses until the block ends.

    Yields:
        Why it cannot be announced, empty when it is. The service can be reached at its address all the same.
    """
    try:
        responder = responder_on(addresses)
    except OSError as problem:
        yield str(problem)
        return
    try:
        responder.register_service(service_info(addresses, port, pin))
        failure = ""
    except (OSError, ZeroconfError) as problem:
        failure = str(problem) or type(problem).__name__
    try:
        yield failure
    finally:
        responder.unregister_all_services()
        responder.close()
