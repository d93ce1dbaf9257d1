"""Labels, corrections, culls, people, rooms and buyers."""

from dataclasses import replace
from datetime import date

from driving import DAY, Driver, Spool

from shedstation.domain.bench_sequence import Step
from shedstation.domain.box import JobReason, JobState
from shedstation.domain.culls import Where
from shedstation.domain.facts import Draft, Kind
from shedstation.domain.farm import Setup
from shedstation.domain.mass import parse_mass
from shedstation.domain.reading import Mode
from shedstation.station.actions import (
    Choose,
    ChoosePerson,
    CloseBox,
    CloseDay,
    Correct,
    Dispatch,
    EnterCull,
    LabelCameOut,
    LookAgain,
    MoveBoxes,
    OpenDay,
    PrintBatch,
    Reprint,
    ReturnBoxes,
    TareBox,
    VoidBox,
)
from shedstation.store.ledger import SqlLedger


def pack(bench: Driver, boxes: int = 1) -> None:
    for _ in range(boxes):
        bench.shows("0.00")
        bench.shows("1.64")
        bench.ask(TareBox)
        bench.shows("26.74")
        assert bench.code(CloseBox) is None
    bench.shows("0.00")


def print_all(bench: Driver) -> None:
    while bench.station.print_next(bench.now):
        pass


def test_that_a_label_is_queued_with_its_box_and_then_sent(bench: Driver) -> None:
    pack(bench)
    assert [job.state for job in bench.ledger.label_jobs_of("B1-000001")] == [JobState.QUEUED]
    print_all(bench)
    assert [job.state for job in bench.ledger.label_jobs_of("B1-000001")] == [JobState.SENT]
    assert bench.spool.taken[0].fields["net"] == "NET WT 25 LB (11.3 kg)"


def test_that_bench_labels_go_before_batches(bench: Driver) -> None:
    pack(bench, 2)
    print_all(bench)
    bench.ask(PrintBatch, serials=("B1-000001", "B1-000002"))
    pack(bench)
    bench.station.print_next(bench.now)
    assert bench.spool.taken[-1].serial == "B1-000003"


def test_that_a_reprint_is_marked_as_a_copy(bench: Driver) -> None:
    pack(bench)
    print_all(bench)
    bench.ask(Reprint, serial="last")
    bench.ask(Reprint, serial="B1-000001")
    print_all(bench)
    assert [job.fields["copy"] for job in bench.spool.taken] == ["", "COPY 1", "COPY 2"]


def test_that_a_failed_label_waits_on_a_list_and_is_no_copy_when_printed(bench: Driver) -> None:
    bench.spool.refuses = 1
    pack(bench)
    bench.station.print_next(bench.now)
    failure = bench.station.last_failure
    assert failure is not None
    assert (failure.serial, failure.state) == ("B1-000001", JobState.FAILED)
    assert not bench.station.print_next(bench.now)
    bench.ask(PrintBatch, serials=("B1-000001",))
    print_all(bench)
    assert bench.spool.taken[0].copy_no == 0


def test_that_a_label_said_not_to_have_come_out_is_printed_again(bench: Driver) -> None:
    pack(bench)
    assert bench.code(LabelCameOut, serial="#1", yes=True) == "label_not_sent"
    print_all(bench)
    bench.ask(LabelCameOut, serial="#1", yes=False)
    print_all(bench)
    states = [job.state for job in bench.ledger.label_jobs_of("B1-000001")]
    assert states == [JobState.LOST, JobState.SENT]
    assert bench.spool.taken[1].fields == bench.spool.taken[0].fields


def test_that_labels_left_over_are_taken_up_after_a_stop(
    bench: Driver, ledger: SqlLedger, sample_setup: Setup
) -> None:
    pack(bench, 2)
    again = Driver(ledger, sample_setup, Spool())
    print_all(again)
    assert [job.serial for job in again.spool.taken] == ["B1-000001", "B1-000002"]


def test_that_an_open_box_is_asked_about_after_a_stop(
    bench: Driver, ledger: SqlLedger, sample_setup: Setup
) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.ask(TareBox)
    again = Driver(ledger, sample_setup, Spool())
    again.shows("12.00")
    assert again.view.say.name == "bench.left_open"
    assert again.view.tare == parse_mass("1.64 lb")
    assert again.view.choice is not None


def test_that_a_box_left_open_and_taken_away_is_missed_after_a_stop(
    bench: Driver, ledger: SqlLedger, sample_setup: Setup
) -> None:
    bench.shows("0.00")
    bench.shows("1.64")
    bench.mode = Mode.NET
    bench.jumps("0.00")
    again = Driver(ledger, sample_setup, Spool())
    again.mode = Mode.NET
    again.shows("-1.64")
    assert (again.view.step, again.view.say.name) == (Step.LIFTED, "bench.not_on")


def test_that_the_last_box_can_be_reprinted_after_a_stop(
    bench: Driver, ledger: SqlLedger, sample_setup: Setup
) -> None:
    pack(bench, 2)
    last = Driver(ledger, sample_setup, Spool()).view.last_box
    assert last is not None
    assert last == bench.boxes[-1]


def test_that_who_packs_is_still_known_after_a_stop(
    bench: Driver, ledger: SqlLedger, sample_setup: Setup
) -> None:
    bench.ask(ChoosePerson, person="ana")
    assert Driver(ledger, sample_setup, Spool()).view.person == "ana"


def test_that_a_range_of_boxes_moves_to_another_load_with_new_labels(bench: Driver) -> None:
    pack(bench, 4)
    print_all(bench)
    bench.receive("L2", "UT", "KEITT", date(2026, 6, 17))
    assert bench.code(Correct, what="box", which=("B1-000002..B1-000003",), set={"load": "L2"},
                      reason="yesterday's load") is None  # fmt: skip
    boxes = {box.serial: box for box in bench.boxes}
    assert [boxes[f"B1-00000{n}"].load for n in (1, 2, 3, 4)] == ["L1", "L2", "L2", "L1"]
    moved = boxes["B1-000002"]
    assert (moved.lot, moved.cultivar, moved.revision) == ("616902", "KEITT", 2)
    print_all(bench)
    new = [job for job in bench.spool.taken if job.reason is JobReason.CORRECTED]
    assert [job.fields["serial_code"] for job in new] == ["B1-000002/2", "B1-000003/2"]
    assert all(job.fields["copy"] == "" for job in new)


def test_that_another_pack_judges_the_box_anew(bench: Driver) -> None:
    pack(bench)
    bench.ask(Correct, what="box", which=("last",), set={"pack": "Tray by weight"}, reason="slip")
    box = bench.boxes[0]
    assert (box.pack, box.verdict.value, str(box.net_on_label)) == (
        "Tray by weight",
        "over",
        "25.10 lb",
    )


def test_that_a_correction_of_one_unknown_box_changes_nothing(bench: Driver) -> None:
    pack(bench, 2)
    code = bench.code(Correct, what="box", which=("B1-000001..B1-000009",), set={"grade": "2"},
                      reason="slip")  # fmt: skip
    assert code == "unknown_serial"
    assert {box.grade for box in bench.boxes} == {"1"}


def test_that_correcting_a_load_moves_its_boxes_to_the_right_lot(bench: Driver) -> None:
    pack(bench)
    bench.ask(Correct, what="load", which=("L1",), set={"block": "CS"}, reason="wrong block")
    box = bench.boxes[0]
    assert (box.block, box.lot, box.revision) == ("CS", "616902", 2)
    pack(bench)
    assert (bench.boxes[1].block, bench.boxes[1].lot) == ("CS", "616902")


def test_that_a_cull_carries_its_loads_lot_and_can_be_corrected(bench: Driver) -> None:
    bench.ask(EnterCull, load="L1", defect="LATEX", where=Where.WASH, count=3)
    bench.ask(Correct, what="cull", which=("C0001",), set={"count": 5}, reason="miscounted")
    cull = bench.ledger.culls_on(DAY)[0]
    assert (cull.lot, cull.count, cull.corrected) == ("616901", 5, True)
    old = [
        each for each in bench.ledger.day_record(DAY).happenings if each.kind == "cull_corrected"
    ]
    before = old[0].values["before"]
    assert isinstance(before, dict)
    assert before["count"] == 3


def test_that_a_void_box_is_listed_and_not_summed(bench: Driver) -> None:
    pack(bench, 2)
    bench.ask(VoidBox, serial="#1", reason="came apart")
    record = bench.ledger.day_record(DAY)
    assert [box.serial for box in record.standing] == ["B1-000002"]
    assert bench.code(VoidBox, serial="#1", reason="again") == "already_void"
    assert bench.code(Reprint, serial="#1") == "already_void"


def test_that_serials_are_never_used_again(bench: Driver) -> None:
    pack(bench, 2)
    bench.ask(VoidBox, serial="last", reason="slip")
    pack(bench)
    assert [box.serial for box in bench.boxes] == ["B1-000001", "B1-000002", "B1-000003"]


def test_that_boxes_go_to_a_room_to_a_buyer_and_back(bench: Driver) -> None:
    pack(bench, 3)
    bench.ask(MoveBoxes, serials=("#1", "#2"), room="CHILL")
    bench.ask(Dispatch, buyer="MKT", serials=("#1",), lots=("616901",))
    assert {box.dispatched_to for box in bench.boxes} == {"MKT"}
    assert bench.code(Dispatch, buyer="MKT", serials=("#1",)) == "already_dispatched"
    assert bench.code(VoidBox, serial="#1", reason="late") == "already_dispatched"
    assert bench.code(Dispatch, buyer="MKT", lots=("616901",)) == "nothing_left_of_lot"
    assert bench.code(Dispatch, buyer="MKT", lots=("999999",)) == "unknown_lot"
    bench.ask(ReturnBoxes, serials=("#2",), reason="one too many")
    assert bench.code(ReturnBoxes, serials=("#2",), reason="again") == "not_dispatched"
    assert bench.boxes[1].dispatched_to is None


def test_that_every_fact_carries_who_packs(bench: Driver) -> None:
    bench.ask(ChoosePerson, person="ana")
    pack(bench)
    assert bench.boxes[0].by == "ana"
    assert bench.ledger.facts()[-1].by == "ana"


def test_that_a_lead_named_on_an_action_is_recorded_with_it(bench: Driver) -> None:
    bench.ask(ChoosePerson, person="ana")
    pack(bench)
    bench.ask(VoidBox, serial="last", reason="slip", by="noor")
    assert bench.ledger.facts()[-1].by == "noor"


def test_that_lots_are_numbered_by_first_load_received(bench: Driver) -> None:
    bench.receive("L2", "UT", "KEITT")
    bench.receive("L3", "WR", "KENT")  # the same block, cultivar and date as L1: the same lot
    bench.receive("L4", "WR", "KENT", date(2026, 6, 17))
    lots = bench.ledger.lots_on(DAY)
    assert [(lot.code, lot.block, lot.picked_on.day) for lot in lots] == [
        ("616901", "WR", 18), ("616902", "UT", 18), ("616903", "WR", 17),
    ]  # fmt: skip


def test_that_fruit_released_from_holding_gets_the_new_days_lot(bench: Driver) -> None:
    bench.ask(CloseDay)
    bench.ask(OpenDay, date=date(2026, 6, 20))
    bench.ask(LookAgain, load="L1", room="HOLD", ready=None, cull=None, still_hold=None)
    bench.ask(Choose, load="L1", pack="Flat 25 lb", grade="1")
    assert [lot.code for lot in bench.ledger.lots_on(date(2026, 6, 20))] == ["617101"]


def test_that_nothing_is_packed_without_an_open_day(bench: Driver) -> None:
    bench.ask(CloseDay)
    assert bench.code(TareBox) == "day_not_open"
    assert (
        bench.code(EnterCull, load="L1", defect="LATEX", where=Where.BENCH, count=1)
        == "day_not_open"
    )
    bench.ask(OpenDay, date=DAY)
    assert bench.code(OpenDay, date=DAY) == "day_already_open"


def test_that_loads_are_checked_against_what_is_known(bench: Driver) -> None:
    assert bench.receive("L1", "WR", "KENT").refusal is not None
    later = bench.receive("L9", "WR", "KENT", date(2026, 6, 19)).refusal
    assert later is not None
    assert later.code == "picked_later"
    assert bench.code(Choose, load="L8", pack="Flat 25 lb", grade="1") == "unknown_load"


def test_that_a_changed_setup_keeps_what_the_bench_packs(
    bench: Driver, sample_setup: Setup
) -> None:
    bench.station.set_up(replace(sample_setup, backup_folder="backups"), at_s=bench.now)
    assert bench.view.choice is not None
    assert bench.ledger.setup() is not None


def test_that_a_new_day_goes_on_with_nothing_until_it_is_chosen(
    bench: Driver, ledger: SqlLedger, sample_setup: Setup
) -> None:
    pack(bench)
    bench.ask(CloseDay)
    bench.ask(OpenDay, date=date(2026, 6, 19))
    bench.shows("0.00")
    bench.shows("1.64")
    assert bench.view.say.name == "bench.choose_first"
    assert bench.code(TareBox) == "not_chosen"
    assert Driver(ledger, sample_setup, Spool()).view.choice is None


def test_that_a_pack_set_up_no_more_keeps_its_boxes_and_must_be_chosen_anew(
    bench: Driver, sample_setup: Setup
) -> None:
    pack(bench)
    first = sample_setup.packs[0]
    renamed = (replace(first, name="Flat 25"), *sample_setup.packs[1:])
    bench.station.set_up(replace(sample_setup, packs=renamed), at_s=bench.now)
    assert bench.view.choice is None
    assert bench.code(Reprint, serial="#1") is None
    print_all(bench)
    assert bench.spool.taken[-1].fields["net"] == bench.spool.taken[0].fields["net"]


def test_that_a_box_named_twice_is_taken_once(bench: Driver) -> None:
    pack(bench, 2)
    assert bench.code(PrintBatch, serials=("#1", "B1-000001")) is None
    assert bench.code(Correct, what="box", which=("B1-000001", "B1-000001..B1-000002"),
                      set={"grade": "2"}, reason="looked again") is None  # fmt: skip
    assert [box.grade for box in bench.boxes] == ["2", "2"]


def test_that_two_loads_can_be_corrected_to_one_new_lot(bench: Driver) -> None:
    bench.receive("L2", "UT", "KEITT")
    pack(bench)
    bench.ask(EnterCull, load="L1", defect="SCAR", count=2, where=Where.BENCH)
    assert bench.code(Correct, what="load", which=("L1", "L2"),
                      set={"block": "CS", "cultivar": "KENT"}, reason="wrong row") is None  # fmt: skip
    record = bench.ledger.day_record(DAY)
    lots = {lot.code: lot.block for lot in record.lots}
    assert lots[record.boxes[0].lot] == "CS"
    assert (record.culls[0].block, record.culls[0].lot) == ("CS", record.boxes[0].lot)


def test_that_a_cull_corrected_later_keeps_the_lot_of_its_day(bench: Driver) -> None:
    bench.ask(EnterCull, load="L1", defect="SCAR", count=2, where=Where.BENCH, id="X1")
    bench.receive("L2", "UT", "KEITT")
    bench.ask(CloseDay)
    bench.ask(OpenDay, date=date(2026, 6, 19))
    assert (
        bench.code(Correct, what="cull", which=("X1",), set={"load": "L2"}, reason="slip") is None
    )
    cull = bench.ledger.day_record(DAY).culls[0]
    assert cull.lot in {lot.code for lot in bench.ledger.lots_on(DAY)}


def test_that_numbers_of_culls_step_over_ids_given_by_hand(bench: Driver) -> None:
    for id_ in ("C0002", None, None):
        code = bench.code(EnterCull, load="L1", defect="SCAR", count=1, where=Where.BENCH, id=id_)
        assert code is None
    assert len({cull.id for cull in bench.ledger.culls_on(DAY)}) == 3


def test_that_the_label_that_a_stop_cut_off_is_the_one_asked_about(
    bench: Driver, ledger: SqlLedger, sample_setup: Setup
) -> None:
    pack(bench)
    job = bench.ledger.label_jobs(JobState.QUEUED)[0]
    cut_off = Draft(kind=Kind.LABEL_SENDING, bench="B1", at="", by=None, payload={"job": job.job})
    bench.ledger.record([cut_off])
    again = Driver(ledger, sample_setup, Spool())
    again.ask(Reprint, serial="B1-000001")
    print_all(again)
    assert again.code(LabelCameOut, serial="B1-000001", yes=True) is None
    assert [each.state for each in ledger.label_jobs_of(job.serial)] == [
        JobState.SENT,
        JobState.SENT,
    ]


def test_that_a_waiting_label_of_a_voided_or_corrected_box_never_comes_out(bench: Driver) -> None:
    pack(bench, 2)
    bench.ask(VoidBox, serial="#1", reason="wrong box")
    bench.ask(Correct, what="box", which=("#2",), set={"grade": "2"}, reason="looked again")
    print_all(bench)
    assert [(job.serial, job.revision) for job in bench.spool.taken] == [("B1-000002", 2)]


def test_that_who_stands_at_the_bench_culled_and_received(bench: Driver) -> None:
    bench.ask(ChoosePerson, person="ana")
    bench.receive("L2", "UT", "KEITT")
    bench.ask(EnterCull, load="L2", defect="SCAR", count=1, where=Where.BENCH)
    record = bench.ledger.day_record(DAY)
    assert (record.culls[0].by, record.loads[-1].by) == ("ana", "ana")
