"""One thing that an entry tells, asked anew. What breaks a rule is refused, and nothing is written."""

from __future__ import annotations

from collections.abc import Sequence

from mobile.device.haptics.protocol import Haptic
from mobile.presenters.base.form import Form, Question
from mobile.presenters.base.presenter import AppContext
from mobile.presenters.history.entry_titles import EntryWords
from mobile.presenters.history.field_kinds import NOT_TOLD
from mobile.presenters.history.fields import field_of
from shared_models.errors import UnknownRecord
from shared_models.log.projection import RecordKey
from shared_models.reports.audit import entries


class FieldForm(Form):
    """A field of a record, as it stands; saved as soon as it is answered."""

    title = "Correction"
    reviewed = False

    def __init__(self, context: AppContext, kind: str, record: str, field: str) -> None:
        self._key, self._field = RecordKey(kind, record), field
        super().__init__(context)
        self._was = self._told.field.ask.answer(self._told)
        if self._was is not None:
            self._answers[field] = self._was

    def read(self) -> None:
        """Look at the record, and at what it refers to."""
        farm = self.context.notebook.farm
        with self.context.notebook.reading() as session:
            entry = entries.entry_of(session, farm, self._key)
            names = entries.names_in(session, farm, (self._key.id, *entry.fields.values()))
        told = field_of(self.context, names, entry, self._field)
        if told is None:
            raise UnknownRecord(self._field, self._key.id)
        self._told, self._words = told, EntryWords(self.context, names)

    def questions(self) -> Sequence[Question]:
        """As the field is asked for."""
        return self._told.field.ask.questions(self._told)

    def pick(self, key: str) -> None:
        """What is chosen in place of a number is that number, or none."""
        if not any(each.number for each in self.questions() if each.key == self._at):
            super().pick(key)
            return
        self.put(None if key == NOT_TOLD else float(key))
        self.forward()

    def save(self) -> None:
        """Write it, and back to the entry; what is as it was is not written."""
        if self._answers.get(self._field) != self._was:
            self._told.field.ask.write(self._told, self._answers)
            self.context.feel(Haptic.UNDO, self.context.localizer.t("corrected"))
        self.context.navigator.back()

    def _title(self, place: int, of: int) -> str:  # noqa: ARG002 - it is one thing, however many questions it takes
        return f"{self.context.localizer.t(self.title)} · {self._words.title(self._told.entry)}"
