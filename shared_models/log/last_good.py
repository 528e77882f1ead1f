"""The last good form of a record whose lines, put together, break a rule."""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from itertools import chain, product
from typing import Any

from shared_models.core.fold import Units, fold
from shared_models.core.revision import Revision
from shared_models.lazy_message import LazyMessage
from shared_models.records.problems import bound_fields

Fields = dict[str, Any]
FindProblems = Callable[[Mapping[str, Any]], Mapping[str, LazyMessage]]
"""The problems of folded fields, by field; none where they are valid."""

#: earlier values that are tried for one record: what others wrote must not keep this program busy
MOST_TRIES = 256


def last_good(
    revisions: Iterable[Revision], units: Units, defaults: Collection[str], problems_of: FindProblems
) -> Fields | None:
    """Fold the revisions in their order, past what does not fit; None where they never made a valid record.

    It begins with the first revision that makes the record valid, with those before it or by itself. From then on,
    where a revision breaks a rule that binds other fields, those get back the newest of their earlier values that fits,
    or are as if never set if they have `defaults`: what was written last holds, as in any fold, but an end is not taken
    away. Any other revision that breaks a rule is left out. At most two validations for each revision, and MOST_TRIES
    more.
    """
    form = _LastGood(units, defaults, problems_of)
    for revision in sorted(revisions, key=lambda each: each.order):
        form.take(fold([revision], units))
    return form.fields if form.valid else None


class _LastGood:
    def __init__(self, units: Units, defaults: Collection[str], problems_of: FindProblems) -> None:
        self.fields: Fields = {}
        self.valid = False
        self._units, self._defaults, self._problems_of = units, defaults, problems_of
        self._tries_left = MOST_TRIES
        #: unit -> its values, the first one first
        self._values: dict[tuple[str, ...], list[Fields]] = defaultdict(list)

    def take(self, changed: Fields) -> None:
        fields = self.fields | changed
        problems = self._problems_of(fields)
        if not self.valid:
            if problems and self._fits(changed):
                fields, problems = changed, {}
            self.valid = not problems
        elif problems:
            fields = next((tried for tried in self._tried(fields, changed, problems) if self._fits(tried)), self.fields)
            if fields is self.fields:
                return
        self.fields = fields
        for unit in {self._unit(name) for name in changed}:
            self._values[unit].append({name: changed[name] for name in unit})

    def _unit(self, name: str) -> tuple[str, ...]:
        return self._units.get(name, (name,))

    def _tried(self, fields: Fields, changed: Fields, problems: Mapping[str, LazyMessage]) -> Iterator[Fields]:
        """The fields with earlier values, newest first, of the units that a broken rule binds and this line leaves."""
        bound = {self._unit(name) for problem in problems.values() for name in bound_fields(problem)}
        others = sorted(unit for unit in bound if not set(unit) & changed.keys())
        for earlier in product(*map(self._earlier, others)) if others else ():
            if not self._tries_left:
                return
            self._tries_left -= 1
            given_back = {name: values.get(name) for unit, values in zip(others, earlier, strict=True) for name in unit}
            yield fields | given_back

    def _earlier(self, unit: tuple[str, ...]) -> Iterable[Fields]:
        return chain(reversed(self._values[unit]), [{}] if set(unit) <= set(self._defaults) else [])

    def _fits(self, fields: Fields) -> bool:
        return not self._problems_of(fields)
