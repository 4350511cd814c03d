"""One bench as the teacher sees it: its runs, its phones and thermometer, a run typed or corrected for it."""

from __future__ import annotations

from dataclasses import replace

from flask import abort, flash, g, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext

from app.physics.limits import MOST_BENCHES
from app.practicals.benches import watch
from app.practicals.benches.ice_point import ice_point_of, set_ice_point
from app.practicals.benches.rows import BadBenchNumber
from app.practicals.benches.watch import renumber_bench
from app.practicals.lesson.details import PracticalDetails
from app.practicals.runs import sending
from app.practicals.runs.entry import ImpossibleReading
from app.practicals.runs.reading import NoSuchRun, RunDetails
from app.practicals.runs.refusals import PracticalClosed, ReasonMissing, RunChangedMeanwhile
from app.records.errors import Problem
from app.web.audience import audience, now
from app.web.desk.blueprint import blueprint, page, practical_here, snapshot_here
from app.web.desk.lesson.view import lesson_view, run_rows
from app.web.desk.runs.run_form import RunForm, form_for_bench, form_of_entry, read_run_form
from app.web.forms import NoRevision, bench_number, new_key, pressed, seen_revision
from app.web.ice_point import IcePointForm
from app.web.languages import say
from app.web.storage import database


@blueprint.get("/<int:practical_id>/bench/<int:number>")
@audience("teacher")
def bench(practical_id: int, number: int) -> ResponseReturnValue:
    """One bench: state, key, runs."""
    return _bench_page(practical_id, number)


def _bench_page(practical_id: int, number: int, ice_form: IcePointForm | None = None) -> str:
    """The page of one bench, with what was typed about its thermometer."""
    snapshot = snapshot_here(practical_id)
    view = lesson_view(snapshot, now())
    slot = next((slot for slot in view.slots if slot.number == number), None)
    if slot is None:
        abort(404)
    own = slot.bench.ice_point_text if slot.bench else None
    return page(
        "desk/bench.html",
        snapshot.practical,
        "live",
        slot=slot,
        needs=[need for need in view.needs if need.bench == number],
        ice_point=ice_point_of(snapshot.practical.plan, number, slot.bench),
        ice_form=ice_form or IcePointForm.stored(own),
    )


@blueprint.post("/<int:practical_id>/bench/<int:number>/release")
@audience("teacher")
def release(practical_id: int, number: int) -> ResponseReturnValue:
    """Let the next phone speak for the bench. Ending the old phone is asked about once."""
    end_phones = "phones" in request.form and pressed("phones", {"end": True})
    if end_phones and request.form.get("sure") != "yes":
        return page("desk/sure_release.html", practical_here(practical_id), "live", number=number)
    watch.release_bench(
        database(),
        actor=g.teacher,
        practical_id=practical_id,
        bench_number=number,
        now=now(),
        end_phones=end_phones,
    )
    flash(gettext("The next phone that joins as bench %(number)s needs no bench key.", number=number), "good")
    return redirect(url_for("desk.bench", number=number))


@blueprint.post("/<int:practical_id>/bench/<int:number>/renumber")
@audience("teacher")
def renumber(practical_id: int, number: int) -> ResponseReturnValue:
    """Put a wrong bench number right; the page then shows the bench under its right one."""
    right = bench_number(request.form.get("right_number", ""))
    try:
        swapped = renumber_bench(
            database(),
            actor=g.teacher,
            practical_id=practical_id,
            bench_number=number,
            right_number=right,
            now=now(),
        )
    except BadBenchNumber as problem:
        flash(say(problem.message), "bad")
        return redirect(url_for("desk.bench", number=number))
    told = (
        gettext("Benches %(old)s and %(new)s have changed numbers.", old=number, new=right)
        if swapped
        else gettext("Bench %(old)s is bench %(new)s now, with all that it has sent.", old=number, new=right)
    )
    flash(told, "good")
    return redirect(url_for("desk.bench", number=right))


@blueprint.post("/<int:practical_id>/bench/<int:number>/ice")
@audience("teacher")
def set_bench_ice_point(practical_id: int, number: int) -> ResponseReturnValue:
    """Replace what its thermometer reads in melting ice; an empty field gives it what the plan has."""
    form = IcePointForm.sent(request.form)
    if not form.may_be_kept:
        return _bench_page(practical_id, number, form), 422 if form.problems else 200
    set_ice_point(
        database(),
        actor=g.teacher,
        practical_id=practical_id,
        bench_number=number,
        reading=form.reading,
        now=now(),
    )
    flash(gettext("Kept. It counts for all runs of bench %(number)s.", number=number), "good")
    return redirect(url_for("desk.bench", number=number))


@blueprint.get("/<int:practical_id>/enter")
@audience("teacher")
def enter_form(practical_id: int) -> ResponseReturnValue:
    """The form for a run of a bench whose phone does not work."""
    practical = practical_here(practical_id)
    number = request.args.get("bench", type=int)
    form = form_for_bench(practical.plan, number or 0, _next_run(practical_id, number or 0))
    form.typed["bench_number"] = str(number or "")
    return _enter_page(practical, form, new_key())


@blueprint.post("/<int:practical_id>/enter")
@audience("teacher")
def enter_run(practical_id: int) -> ResponseReturnValue:
    """Store a run for a bench."""
    practical, key = practical_here(practical_id), request.form.get("key", "")
    number = bench_number(request.form.get("bench_number", ""))
    form = read_run_form(request.form, practical.plan.typical_run(number, _next_run(practical_id, number)))
    if not 1 <= number <= MOST_BENCHES:
        form.refuse("bench_number", BadBenchNumber().message)
    elif form.entry is not None and not form.questions:
        try:
            saved = sending.enter_run(
                database(),
                actor=g.teacher,
                key=key,
                entry=form.entry,
                practical_id=practical_id,
                bench_number=number,
                now=now(),
            )
        except (ImpossibleReading, PracticalClosed) as problem:
            _refuse(form, problem, "bench_number")
        else:
            flash(gettext("Bench %(bench)s, run %(run)s is stored.", bench=number, run=saved.number), "good")
            return redirect(url_for("desk.bench", number=number))
    return _enter_page(practical, form, key), 422 if form.problems else 200


@blueprint.get("/<int:practical_id>/run/<int:run_id>/correct")
@audience("teacher")
def correct(practical_id: int, run_id: int) -> ResponseReturnValue:
    """The run as it was typed, to be corrected with the bench's word."""
    practical, run = practical_here(practical_id), _run_here(practical_id, run_id)
    return _correct_page(practical, run, form_of_entry(run.entry))


@blueprint.post("/<int:practical_id>/run/<int:run_id>/correct")
@audience("teacher")
def correct_run(practical_id: int, run_id: int) -> ResponseReturnValue:
    """Append a corrected version; the earlier one stays in the history."""
    practical, run = practical_here(practical_id), _run_here(practical_id, run_id)
    form = read_run_form(request.form, practical.plan.typical_run(run.bench_number, run.number))
    if form.entry is not None and not form.questions:
        try:
            sending.correct_run(
                database(),
                actor=g.teacher,
                run_id=run_id,
                key=request.form.get("key", ""),
                entry=replace(form.entry, own_heat_capacity=run.entry.own_heat_capacity),
                reason=request.form.get("reason", ""),
                expected_revision=seen_revision("run_revision"),
                now=now(),
            )
        except (ImpossibleReading, ReasonMissing, PracticalClosed, NoRevision) as problem:
            _refuse(form, problem, "reason")
        except RunChangedMeanwhile as problem:
            return _correct_page(practical, run, form, changed=problem), 409
        else:
            flash(gettext("The correction is stored; the earlier readings stay in the history."), "good")
            return redirect(url_for("desk.bench", number=run.bench_number))
    return _correct_page(practical, run, form), 422 if form.problems else 200


def _refuse(form: RunForm, problem: Problem, name: str) -> None:
    """Put what the use case refused beside the reading that it is about, else beside the named field."""
    form.refuse(problem.field if isinstance(problem, ImpossibleReading) else name, problem.message)


def _run_here(practical_id: int, run_id: int) -> RunDetails:
    """The run, if it belongs to this practical and was made."""
    for run in snapshot_here(practical_id).all_runs:
        if run.run_id == run_id and not run.simulated:
            return run
    raise NoSuchRun()


def _next_run(practical_id: int, bench_number: int) -> int:
    """The number that the bench's next run will have."""
    runs = snapshot_here(practical_id).all_runs
    own = [run.number for run in runs if run.bench_number == bench_number and not run.simulated]
    return 1 + max(own, default=0)


def _enter_page(practical: PracticalDetails, form: RunForm, key: str) -> str:
    return page("desk/enter.html", practical, "live", form=form, key=key)


def _correct_page(
    practical: PracticalDetails,
    run: RunDetails,
    form: RunForm,
    changed: RunChangedMeanwhile | None = None,
) -> str:
    snapshot = snapshot_here(practical.practical_id)
    worked = next((row.worked for row in run_rows(snapshot) if row.run.run_id == run.run_id), None)
    return page(
        "desk/correct.html",
        practical,
        "decisions",
        run=run,
        slip=worked.suspected_slip if worked else None,
        form=form,
        stored=form_of_entry(run.entry),
        changed=changed,
        key=new_key(),
    )
