"""`service` runs with `fakes` and has a `farm`; `any_service` runs on SQLite and on PostgreSQL.

`office` is a service with a signed-in client, with a `hand_day` or a `full_day`; a browser opens it at `address`.
`ana` is the id of a crew account.
"""

from tests.server.support.fixtures import any_service, any_url, fakes, farm, service
from tests.server.support.office import address, full_day, hand_day, office
from tests.server.support.sign_in import ana

__all__ = ["address", "ana", "any_service", "any_url", "fakes", "farm", "full_day", "hand_day", "office", "service"]
