"""How long a department keeps its practicals: the words first, then all of it, each listed a month before.

A rule counts whole years from the day of the lesson. A practical's own delete-after day stands beside it, and
whichever comes first counts. Nothing goes by a rule within a month of the day on which a head made it
shorter, so that everybody can see what it will take.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import ColumnElement, and_, or_, select, update
from sqlalchemy.orm import Session

from app.practicals.lesson.deletions import delete_and_log
from app.practicals.lesson.permission import add_to_history, raise_revision
from app.practicals.people.actors import BenchIdentity, TeacherIdentity
from app.practicals.people.departments import require_head
from app.practicals.people.log import add_to_log
from app.practicals.runs.reading import OWN_CALCULATION
from app.records.append_only import REMOVED
from app.records.choices import OPEN_STATES, HistoryKind, LogKind
from app.records.engine import Database
from app.records.errors import Unprocessable
from app.records.models import Decision, Department, Practical, Run, RunVersion, Teacher
from app.records.models.people import MOST_YEARS_KEPT
from app.words import N_

NOTICE = timedelta(days=31)
"""So long before it goes, a practical is listed: a month, our own choice."""
_A_DAY = timedelta(days=1)


class NoSuchRule(Unprocessable):
    """A number of years that no rule can have."""

    sentence = N_("Keep something for 1 to %(most)s years, or leave the field empty. Nothing was changed.")


class WordsOutliveRuns(Unprocessable):
    """The words would stay longer than what they are about."""

    sentence = N_(
        "Words cannot be kept longer than the runs they are about. Give them fewer years, or leave theirs"
        " empty. Nothing was changed."
    )


@dataclass(frozen=True)
class RetentionRule:
    """Years after a lesson; None is no rule. `since` is the day on which one was last made shorter."""

    words_years: int | None
    runs_years: int | None
    since: date | None = None

    def words_go_after(self, held_on: date) -> date | None:
        """The last day on which the words of that day's lesson are kept."""
        return self._last_day(held_on, self.words_years)

    def runs_go_after(self, held_on: date) -> date | None:
        """The last day on which that day's lesson is kept at all."""
        return self._last_day(held_on, self.runs_years)

    def _last_day(self, held_on: date, years: int | None) -> date | None:
        if years is None:
            return None
        last = _years_later(held_on, years)
        return last if self.since is None else max(last, self.since + NOTICE)


@dataclass(frozen=True)
class Going:
    """What goes of a practical after a day: its words, or all of it; by the rule or by its own day."""

    practical_id: int
    title: str
    held_on: date
    teacher_id: int
    teacher: str
    after: date
    words_only: bool
    by_rule: bool


def retention_rule(database: Database, *, department_id: int) -> RetentionRule:
    """The department's rule."""
    with database.reading() as session:
        return _rule_of(session.get_one(Department, department_id))


def retention_rule_for_bench(database: Database, *, actor: BenchIdentity) -> RetentionRule | None:
    """The rule of the department whose practical the bench is in; None where that has gone meanwhile."""
    wanted = select(Department).join(Practical, Practical.department_id == Department.id)
    with database.reading() as session:
        department = session.scalar(wanted.where(Practical.id == actor.practical_id))
        return None if department is None else _rule_of(department)


def set_retention_rule(
    database: Database,
    *,
    actor: TeacherIdentity,
    words_years: int | None,
    runs_years: int | None,
    today: date,
    now: datetime,
) -> RetentionRule:
    """Another rule for the head's department; `today` is the school's date. A shorter one waits a month."""
    for years in (words_years, runs_years):
        if years is not None and not 1 <= years <= MOST_YEARS_KEPT:
            raise NoSuchRule(most=MOST_YEARS_KEPT)
    if words_years is not None and runs_years is not None and words_years > runs_years:
        raise WordsOutliveRuns()
    with database.writing() as session:
        require_head(session, actor)
        department = session.get_one(Department, actor.department_id)
        earlier = _rule_of(department)
        if (words_years, runs_years) != (earlier.words_years, earlier.runs_years):
            pairs = ((earlier.words_years, words_years), (earlier.runs_years, runs_years))
            if any(_is_shorter(years, before) for before, years in pairs):
                department.keeping_since = today
            department.words_kept_years, department.runs_kept_years = words_years, runs_years
            told = f"{words_years or '–'} · {runs_years or '–'}"
            add_to_log(session, LogKind.KEPT_RULE_CHANGED, actor, now, detail=told)
        return _rule_of(department)


def going_soon(database: Database, *, actor: TeacherIdentity, today: date) -> tuple[Going, ...]:
    """What goes within a month in the actor's department, the soonest first. `today` is the school's date."""
    until = today + NOTICE
    with database.reading() as session:
        rule = _rule_of(session.get_one(Department, actor.department_id))
        wanted = (
            select(Practical, Teacher.name)
            .join(Teacher, Teacher.id == Practical.teacher_id)
            .where(
                Practical.department_id == actor.department_id,
                or_(Practical.delete_after <= until, *_past(rule, until + _A_DAY)),
            )
        )
        going = [
            one
            for practical, teacher in session.execute(wanted)
            for one in _what_goes(practical, teacher, rule)
            if one.after <= until
        ]
    return tuple(sorted(going, key=lambda one: (one.after, one.practical_id, one.words_only)))


def apply_rules(database: Database, *, today: date, now: datetime) -> int:
    """Do what the departments' rules say; how many practicals lost their words or went. Safe to do twice."""
    with database.writing() as session:
        ruled = or_(Department.words_kept_years.is_not(None), Department.runs_kept_years.is_not(None))
        rules = {row.id: _rule_of(row) for row in session.scalars(select(Department).where(ruled))}
        return sum(_apply(session, number, rule, today, now) for number, rule in rules.items())


def _apply(session: Session, department_id: int, rule: RetentionRule, today: date, now: datetime) -> int:
    due = (
        select(Practical)
        .where(
            Practical.department_id == department_id,
            Practical.state.not_in(OPEN_STATES),
            or_(*_past(rule, today)),
        )
        .order_by(Practical.id)
        .with_for_update(skip_locked=True)
    )
    touched = 0
    for practical in session.scalars(due).all():
        words, runs = rule.words_go_after(practical.held_on), rule.runs_go_after(practical.held_on)
        if runs is not None and runs < today:
            delete_and_log(session, practical, None, runs, now)
        elif words is not None and words < today and practical.words_removed_at is None:
            _remove_words(session, practical, now)
        else:
            continue
        touched += 1
    return touched


def _past(rule: RetentionRule, today: date) -> list[ColumnElement[bool]]:
    """Which practicals' last day by the rule was before this one, but for its notice."""
    past = []
    if rule.words_years is not None:
        old = Practical.held_on < _years_earlier(today, rule.words_years)
        past.append(and_(old, Practical.words_removed_at.is_(None)))
    if rule.runs_years is not None:
        past.append(Practical.held_on < _years_earlier(today, rule.runs_years))
    return past


def _remove_words(session: Session, practical: Practical, now: datetime) -> None:
    """Reasons of corrections and decisions, and the teacher's own questions. Numbers and dates stay."""
    runs = select(Run.id).where(Run.practical_id == practical.id)
    session.execute(
        update(RunVersion)
        .where(RunVersion.run_id.in_(runs), RunVersion.reason.not_in(("", OWN_CALCULATION, REMOVED)))
        .values(reason=REMOVED)
        .execution_options(synchronize_session=False)
    )
    session.execute(
        update(Decision)
        .where(Decision.run_id.in_(runs), Decision.reason != REMOVED)
        .values(reason=REMOVED)
        .execution_options(synchronize_session=False)
    )
    practical.own_questions = None
    practical.words_removed_at = now
    add_to_history(session, practical, HistoryKind.WORDS_REMOVED_BY_RULE, None, now)
    raise_revision(practical)
    kind, department = LogKind.WORDS_REMOVED_BY_RULE, practical.department_id
    add_to_log(session, kind, None, now, department_id=department, practical_id=practical.id)


def _what_goes(practical: Practical, teacher: str, rule: RetentionRule) -> list[Going]:
    of = (practical.id, practical.title, practical.held_on, practical.teacher_id, teacher)
    by_rule, own = rule.runs_go_after(practical.held_on), practical.delete_after
    last = min((day for day in (by_rule, own) if day is not None), default=None)
    going = [] if last is None else [Going(*of, last, words_only=False, by_rule=last != own)]
    words = rule.words_go_after(practical.held_on)
    if words is not None and practical.words_removed_at is None and (last is None or words < last):
        going.append(Going(*of, words, words_only=True, by_rule=True))
    return going


def _rule_of(department: Department) -> RetentionRule:
    return RetentionRule(department.words_kept_years, department.runs_kept_years, department.keeping_since)


def _is_shorter(years: int | None, before: int | None) -> bool:
    return years is not None and (before is None or years < before)


def _years_later(day: date, years: int) -> date:
    """The same day of a later year; 28 February where that year has no 29th."""
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return day.replace(year=day.year + years, day=28)


def _years_earlier(day: date, years: int) -> date:
    return _years_later(day, -years)
