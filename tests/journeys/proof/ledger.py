"""What was confirmed to a person, and what each device wrote: the harness's own list, kept beside the product."""

import json
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from typing import Any

from tests.journeys.proof.oracle import Content, HeldLog, content_of

Unstamped = tuple[str, str, str | None, str]
"""What a line says, without its stamp."""

#: section 3: a service takes stamps up to a day ahead
LEAD = 86_400_000 << 16


class Broken(AssertionError):
    """A promise is broken."""


@dataclass
class Ledger:
    """All entries of a history."""

    confirmed: dict[Content, str] = field(default_factory=dict)
    #: entries whose only copies were destroyed, or are on a phone that the farm removed
    excused: set[Content] = field(default_factory=set)
    #: the texts that each device wrote, by the device that signs them
    texts: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    #: how often a line may stand under one more id: a phone restored without its keys writes it again
    copies: Counter[Content] = field(default_factory=Counter)
    #: entries that were stamped far ahead, and what they became when they were stamped again
    stamped_again: dict[Content, set[Content]] = field(default_factory=lambda: defaultdict(set))
    #: what the liar said: a phone that holds it may have to stamp it again
    lies: set[Unstamped] = field(default_factory=set)
    #: (store, device) -> lines seen so far
    _seen: dict[tuple[str, str], int] = field(default_factory=dict)

    def forget(self, store: str) -> None:
        """Read a store from its start again: another one was put in its place."""
        for key in [key for key in self._seen if key[0] == store]:
            del self._seen[key]

    def take(
        self, store: str, logs: Iterable[HeldLog], now_ms: int, *, new: bool, excused: bool = False
    ) -> list[Content]:
        """Note the lines that a device wrote since the last look; return their contents.

        Without `new`, the device may only have written known entries once more.
        """
        ahead = (now_ms << 16) + LEAD
        found = []
        for log in logs:
            seen = self._seen.get((store, log.device), log.base_seq)
            written = self.texts[log.origin]
            for line in log.lines:
                if line.seq <= seen or line.text in written:
                    continue
                content = content_of(line.text)
                self._note(store, content, ahead, new=new, excused=excused)
                written.add(line.text)
                found.append(content)
            self._seen[store, log.device] = log.seq
        return found

    def _note(self, store: str, content: Content, ahead: int, *, new: bool, excused: bool) -> None:
        if content in self.confirmed:
            if new or not self.copies[content]:
                raise Broken(f"{store} wrote an entry twice: {content}")
        elif new:
            self.confirmed[content] = store
            if excused:
                self.excused.add(content)
        elif not self._note_stamped_again(content, ahead):
            raise Broken(f"{store} wrote what nobody entered: {content}")

    def _note_stamped_again(self, content: Content, ahead: int) -> bool:
        before = [
            each
            for each in (*self.confirmed, *self.stamped_again)
            if each.stamp > ahead and each.stamp != content.stamp and each[1:] == content[1:]
        ]
        for each in before:
            self.stamped_again[each].add(content)
        return bool(before) or content[1:] in self.lies

    def is_in(self, held: Collection[Content], content: Content) -> bool:
        """Whether an entry is among these, under the stamp that it has now."""
        return content in held or any(self.is_in(held, each) for each in self.stamped_again.get(content, ()))

    def excuse_all_but(self, held: Collection[Content]) -> None:
        """Entries that nobody holds any more were destroyed, not lost by the product."""
        self.excused |= {content for content in self.confirmed if not self.is_in(held, content)}

    @property
    def due(self) -> set[Content]:
        """The entries that must reach everybody."""
        return self.confirmed.keys() - self.excused


def contents_in(logs: Iterable[HeldLog]) -> Counter[Content]:
    """What the lines of these logs say, and how often."""
    return Counter(content_of(line.text) for log in logs for line in log.lines)


def fields_of(content: Content) -> Any:
    return json.loads(content.set)
