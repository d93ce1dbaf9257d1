"""Queue labels and see them through: queued, sending, sent; never blindly printed twice."""

from collections.abc import Sequence
from dataclasses import replace

from shedstation.domain.box import Box, JobReason, JobState, LabelJob
from shedstation.domain.errors import Refused, WorldFault
from shedstation.domain.facts import Draft, Json, Kind
from shedstation.domain.label_fields import label_fields
from shedstation.domain.payload import to_payload
from shedstation.station.actions import Action, LabelCameOut, PrintBatch, Reprint
from shedstation.station.ports import Spool
from shedstation.station.shed import Shed, once


def first_label(shed: Shed, action: Action, box: Box) -> Draft:
    """Draft the label of a box that is being closed."""
    return _queue(shed, action, _job(shed, action, box, JobReason.CLOSED, earlier=()))


def next_label(shed: Shed, action: Action, box: Box, reason: JobReason) -> Draft:
    """Draft one more label of a box; it is a copy if one of this revision was printed before."""
    return _queue(
        shed, action, _job(shed, action, box, reason, shed.ledger.label_jobs_of(box.serial))
    )


def _queue(shed: Shed, action: Action, job: LabelJob) -> Draft:
    return shed.draft(Kind.LABEL_QUEUED, action, to_payload(job))


def _job(
    shed: Shed, action: Action, box: Box, reason: JobReason, earlier: Sequence[LabelJob]
) -> LabelJob:
    copy_no = _copies(earlier, box.revision)
    fields = label_fields(box, shed.setup, revision=box.revision, copy_no=copy_no)
    return LabelJob(
        job=f"{box.serial}.{len(earlier) + 1}",
        serial=box.serial,
        revision=box.revision,
        copy_no=copy_no,
        reason=reason,
        template=shed.setup.label_template,
        fields=fields,
        state=JobState.QUEUED,
        at=shed.clock.utc(action.at_s),
    )


def _copies(earlier: Sequence[LabelJob], revision: int) -> int:
    never_out = (JobState.FAILED, JobState.LOST)
    return sum(job.revision == revision and job.state not in never_out for job in earlier)


def reprint(shed: Shed, action: Reprint) -> None:
    """Queue a box's label again, marked as a copy.

    Raises:
        Refused: if there is no such box or it was voided.
    """
    box = shed.standing_box(action.serial, action.bench)
    shed.record_all([next_label(shed, action, box, JobReason.REPRINT)])


def print_batch(shed: Shed, action: PrintBatch) -> None:
    """Queue labels for many boxes, behind the bench's own.

    Raises:
        Refused: if one of the boxes does not exist or was voided; then none is queued.
    """
    boxes = once(shed.standing_box(text, action.bench) for text in action.serials)
    shed.record_all([next_label(shed, action, box, JobReason.BATCH) for box in boxes])


def label_came_out(shed: Shed, action: LabelCameOut) -> None:
    """Take the answer whether a label came out; if not, queue it again.

    Raises:
        Refused: if no label of that box was handed to the printer.
    """
    box = shed.box(action.serial, action.bench)
    job = _asked_about(shed.ledger.label_jobs_of(box.serial))
    if job is None:
        raise Refused("label_not_sent", serial=box.serial)
    drafts = [_answer(shed, action, job, yes=action.yes)]
    if not action.yes:
        drafts.append(_again(shed, action, job))
    shed.record_all(drafts)


def _asked_about(jobs: Sequence[LabelJob]) -> LabelJob | None:
    """Give the first job that a stop cut off, else the last that was sent."""
    cut_off = [job for job in jobs if job.state is JobState.SENDING]
    sent = [job for job in jobs if job.state is JobState.SENT]
    return next(iter([*cut_off, *reversed(sent)]), None)


def _answer(shed: Shed, action: Action, job: LabelJob, *, yes: bool) -> Draft:
    payload: dict[str, Json] = {"job": job.job, "serial": job.serial, "yes": yes}
    return shed.draft(Kind.LABEL_ANSWERED, action, payload)


def _again(shed: Shed, action: Action, job: LabelJob) -> Draft:
    number = len(shed.ledger.label_jobs_of(job.serial)) + 1
    name, at = f"{job.serial}.{number}", shed.clock.utc(action.at_s)
    return _queue(shed, action, replace(job, job=name, state=JobState.QUEUED, at=at))


def print_next(shed: Shed, spool: Spool, at_s: float, bench: str) -> LabelJob | None:
    """Hand over the next waiting label: the bench's own first, then batches.

    Returns:
        The label as it stands now, sent or failed; none if none waited.
    """
    moment = Action(at_s=at_s, bench=bench)
    job = _next_to_print(shed, moment)
    if job is None:
        return None
    shed.record(Kind.LABEL_SENDING, moment, {"job": job.job})
    shed.queued.remove(job)
    try:
        spool.hand_over(job)
    except WorldFault as fault:
        why = shed.say(fault.message)
        shed.record(Kind.LABEL_FAILED, moment, {"job": job.job, "why": why})
        return replace(job, state=JobState.FAILED, why=why)
    shed.record(Kind.LABEL_SENT, moment, {"job": job.job})
    return replace(job, state=JobState.SENT)


def _next_to_print(shed: Shed, moment: Action) -> LabelJob | None:
    """Give the next waiting label; one whose box was voided or corrected since is dropped."""
    while shed.queued:
        job = min(shed.queued, key=lambda each: each.reason is JobReason.BATCH)
        box = shed.ledger.box(job.serial)
        if box is not None and not box.voided and box.revision <= job.revision:
            return job
        shed.record_all([_answer(shed, moment, job, yes=False)])
        shed.queued.remove(job)
    return None
