"""Check a paper: do these records still hold what a planting record was printed from, and what was added since?"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from server.exports.proof import paper
from server.exports.proof.paper import PaperHead
from server.exports.proof.paper_check import MOST_LISTED, UNCHANGED, Answer, added_since, check_head
from server.office.log.lines import LineFormatter, LogLine, log_lines
from server.office.shell.context import OfficeContext
from server.office.shell.query import bed_choices
from server.office.shell.view import Choice
from server.render.localizer import Localizer
from shared_models.errors import BadEntry
from shared_models.reports.common.context import ReportContext


class PaperAnswer(NamedTuple):
    """What to say of one log of a paper."""

    log: str
    is_good: bool
    sentence: str


@dataclass(frozen=True, slots=True)
class PaperReport:
    """What a paper is worth now: an answer for each of its logs, and what was added since to its records."""

    answers: tuple[PaperAnswer, ...]
    added: tuple[LogLine, ...]
    is_more: bool

    @property
    def is_good(self) -> bool:
        return all(answer.is_good for answer in self.answers)


class LogEnd(NamedTuple):
    """A log as a paper would have it."""

    name: str
    device: str
    typed: str


@dataclass(frozen=True, slots=True)
class PaperPage:
    """Everything on the page: what was typed, what is wrong with it, and the report on it."""

    typed: str
    problem: str
    beds: tuple[Choice, ...]
    report: PaperReport | None
    logs: tuple[LogEnd, ...]
    example: str


@dataclass(frozen=True, slots=True)
class PaperQuery:
    """What the address asks about."""

    scanned: tuple[str, ...] = ()
    typed: str = ""
    bed: str | None = None
    every_log: bool = False


def paper_page(context: OfficeContext, asked: PaperQuery) -> PaperPage:
    """Answer for what was scanned or typed."""
    formatter, problem, heads = LineFormatter.at(context), "", list[PaperHead]()
    bed = asked.bed if asked.bed in context.reports.references.beds else None
    try:
        heads = [*map(paper.parse_scanned, asked.scanned), *paper.parse_all_typed(asked.typed)]
    except BadEntry as mistyped:
        problem = context.localizer.t_lazy(next(iter(mistyped.problems.values())))
    report = None
    if heads:
        report = check_paper(context.reports, formatter, heads[: paper.MOST_IN_CODE], bed, every_log=asked.every_log)
    ends = [
        LogEnd(formatter.phone(log.device), log.device, paper.typed_form(log))
        for log in formatter.logs
        if log.seq > log.base_seq and not log.private
    ]
    beds = tuple(bed_choices(context.names(), bed))
    return PaperPage(asked.typed, problem, beds, report, tuple(ends), paper.FORM)


def check_paper(
    reports: ReportContext, formatter: LineFormatter, heads: Sequence[PaperHead], bed: str | None, *, every_log: bool
) -> PaperReport:
    """Check the ends of logs that stand on a paper, of a bed's record where that is known."""
    answers = [check_head(reports.session.connection(), formatter.logs, head) for head in heads]
    good = [answer for answer in answers if answer.is_good]
    added = added_since(reports, formatter.logs, good, bed, every_log=every_log) if good else []
    return PaperReport(
        tuple(_answer(answer, formatter) for answer in answers),
        tuple(log_lines(formatter, added[:MOST_LISTED])),
        len(added) > MOST_LISTED,
    )


def _answer(answer: Answer, formatter: LineFormatter) -> PaperAnswer:
    localizer = formatter.localizer
    name = formatter.phone(answer.log.device) if answer.log else ""
    called = name[:1].upper() + name[1:] if name else paper.short_id(answer.head.device)
    return PaperAnswer(called, answer.is_good, _sentence(answer, localizer))


def _sentence(answer: Answer, localizer: Localizer) -> str:
    if answer.at is None:
        return localizer.t_lazy(answer.sentence)
    return localizer.t(
        UNCHANGED, line=localizer.number(answer.head.line), date=localizer.date(localizer.local(answer.at).date())
    )
