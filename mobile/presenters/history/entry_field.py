"""The correction of one field. What breaks a rule is refused, and nothing is written."""

from collections.abc import Sequence

from mobile.device.haptics.protocol import Haptic
from mobile.presenters.base.form import Form, Question
from mobile.presenters.base.presenter import AppContext
from mobile.presenters.history.entry_titles import EntryTitles
from mobile.presenters.history.field_kinds import NOT_ENTERED
from mobile.presenters.history.fields import entry_field
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
        self._was = self._context.field.kind.answer(self._context)
        if self._was is not None:
            self._answers[field] = self._was

    def read(self) -> None:
        farm = self.context.notebook.farm
        with self.context.notebook.reading() as session:
            entry = entries.entry_of(session, farm, self._key)
            names = entries.names_in(session, farm, (self._key.id, *entry.fields.values()))
        found = entry_field(self.context, names, entry, self._field)
        if found is None:
            raise UnknownRecord(self._field, self._key.id)
        self._context, self._titles = found, EntryTitles(self.context, names)

    def questions(self) -> Sequence[Question]:
        return self._context.field.kind.questions(self._context)

    def pick(self, key: str) -> None:
        """An option chosen in place of a number is that number, or none."""
        if not any(each.number for each in self.questions() if each.key == self._at):
            super().pick(key)
            return
        self.put(None if key == NOT_ENTERED else float(key))
        self.forward()

    def save(self) -> None:
        """Write the answer if it changed, and go back to the entry."""
        if self._answers.get(self._field) != self._was:
            self._context.field.kind.write(self._context, self._answers)
            self.context.feedback(Haptic.UNDO, self.t("corrected"))
        self.context.navigator.back()

    def _title(self, place: int, of: int) -> str:  # noqa: ARG002 - it is one thing, however many questions it takes
        return f"{self.t(self.title)} · {self._titles.title(self._context.entry)}"
