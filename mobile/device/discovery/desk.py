"""No discovery: on a desk."""

from collections.abc import Iterator

from typing_extensions import override

from mobile.device.discovery.protocol import ServiceDiscovery


class DeskDiscovery(ServiceDiscovery):
    """Finds nothing."""

    @override
    def with_certificate(self, pin: str) -> Iterator[str]:
        yield from ()
