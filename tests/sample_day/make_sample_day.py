"""Make the sample day's actions and capture from a seed: an invented day on the practice scale.

Run it to write `sample_shed_day/actions.jsonl` and `sample_shed_day/scale.cap` again. Fruit weights are
drawn from invented spreads around invented means; nothing here is a published figure.
"""

import json
from collections.abc import Iterator
from pathlib import Path
from random import Random

from practice_packer import Packer, Shed

SAMPLE = Path(__file__).parents[2] / "sample_shed_day"


def culls(load: str, random: Random) -> Iterator[dict[str, object]]:
    """Give cull entries one after the other, from the bench and the wash."""
    defects = ["LATEX", "SCAR", "LATEX", "BRUISE", "ANTHR", "SUNBURN", "CUT", "SER", "LATEX", "FLY"]
    while True:
        for defect in defects:
            entry: dict[str, object] = {"load": load, "defect": defect, "where": "bench"}
            if random.random() < 0.7:
                entry["count"] = random.randint(1, 4)
            else:
                entry["weight"] = f"{random.uniform(0.8, 4.0):.2f} lb"
            yield entry


def morning(shed: Shed) -> None:
    shed.wait(5)
    shed.do("open_day", date="2026-06-18", starts_at="06:00")
    shed.do("choose_person", person="ana")
    shed.wait(20)
    tubs = [{"gross": "62.40 lb", "tare": "4.20 lb"}, {"gross": "60.10 lb", "tare": "4.20 lb"}]
    shed.do(
        "receive_load",
        load="L1",
        block="WR",
        cultivar="KENT",
        picked_on="2026-06-18",
        by="noor",
        weight="640.0 lb",
        ripeness={"half_or_more": 34, "quarter_to_half": 5, "less": 1},
    )
    shed.wait(30)
    shed.do(
        "receive_load",
        load="L2",
        block="UT",
        cultivar="KEITT",
        picked_on="2026-06-17",
        by="noor",
        weight="520.0 lb",
        estimated=True,
    )
    shed.wait(30)
    shed.do(
        "receive_load",
        load="L3",
        block="CS",
        cultivar="TOMMY",
        picked_on="2026-06-18",
        by="noor",
        tubs=tubs * 3,
    )
    shed.do(
        "receive_load",
        load="L4",
        block="OG",
        cultivar="KENT",
        picked_on="2026-06-17",
        by="noor",
        weight="260.0 lb",
        note="second picking",
    )
    shed.wait(10)
    shed.do("check_wash", free_chlorine_ppm=120, ph=6.9, water="86 F", by="noor")
    shed.do("read_room", room="CHILL", temperature="60 F", by="noor")
    shed.do("check_scale", applied="25.00 lb", shown="25.00 lb", by="noor")
    shed.do("cull", load="L1", defect="IMMATURE", count=3, where="intake", by="noor", id="IN1")
    shed.do("cull", load="L2", defect="FLY", count=2, where="wash", by="noor")
    shed.do("hold", load="L2", room="HOLD", count=42, weight="52.0 lb", by="noor")
    shed.wait(20)


def kent_by_station_tare(shed: Shed) -> None:
    shed.do("choose", load="L1", pack="Flat 25 lb", grade="1")
    packer = Packer(shed)
    entries = culls("L1", shed.random)
    packer.pack_many(6, entries)
    hasty_close(packer)
    overfilled(packer)
    packer.pack_many(6, entries)
    unplugged(packer)
    packer.pack_many(4, entries)
    shed.do("void_box", serial="#4", reason="box came apart when lifted", by="noor")
    shed.do("reprint", serial="#7", by="noor")
    shed.wait(5)


def hasty_close(packer: Packer) -> None:
    """Close while the pan still moves: too soon, then once more."""
    shed = packer.shed
    packer.put_box()
    packer.tare()
    packer.fill()
    shed.scale.shake()
    shed.wait(0.2)
    shed.do("close_box")
    for _ in range(18):
        shed.scale.shake()
        shed.wait(0.2)
    packer.close()
    packer.lift()


def overfilled(packer: Packer) -> None:
    """Put in too much, be told so, take the last fruit out and find one that fits."""
    shed = packer.shed
    packer.put_box()
    packer.tare()
    net = packer.land(packer.fill(upto=25.0))
    net = packer.add(net, 0.84)
    shed.wait(1.5)
    shed.do("close_box")
    shed.wait(1.0)
    packer.take(net, 0.84)
    packer.close(count=22)
    packer.lift()


def unplugged(packer: Packer) -> None:
    """Catch the cable with a sleeve in the middle of a box, and plug it in again."""
    shed = packer.shed
    packer.put_box()
    packer.tare()
    net = packer.fill(upto=14.0)
    shed.wait(1.5)
    shed.plug(out=True)
    shed.wait(17.0)
    shed.plug(out=False)
    shed.wait(2.5)
    while net < 25.0 - 2.2 * 1.15:
        net = packer.add(net, packer.fruit())
    packer.land(net)
    packer.close()
    packer.lift()


def keitt_by_the_scales_keys(shed: Shed) -> None:
    """Pack the way many do: with the scale's own tare key, then with its zero key."""
    shed.do("choose", load="L2", pack="Flat 25 lb", grade="1", by="ben")
    shed.do("choose_person", person="ben")
    packer = Packer(shed, cultivar="KEITT")
    for _ in range(3):
        packer.put_box()
        shed.scale.press_tare()
        shed.wait(1.0)
        packer.fill()
        packer.close()
        packer.lift()
        shed.scale.press_tare()
        shed.wait(1.5)
    for _ in range(2):
        packer.put_box()
        shed.scale.press_zero()
        shed.wait(1.0)
        packer.fill()
        packer.close()
        packer.lift()
        shed.scale.press_zero()
        shed.wait(1.5)
    packer.pack_many(11, culls("L2", shed.random), every=2)


def trays(shed: Shed) -> None:
    """Pack trays by weight; the first three still under the load packed before."""
    wrong = shed.boxes
    shed.do("choose", load="L1", pack="Tray by weight", grade="1")
    packer = Packer(shed, cultivar="TOMMY", lowest=9.8, highest=10.8, box=(0.72, 0.9))
    for _ in range(3):
        packer.pack()
    first, last = f"B1-{wrong + 1:06d}", f"B1-{wrong + 3:06d}"
    shed.do(
        "correct",
        what="box",
        which=f"{first}..{last}",
        set={"load": "L3"},
        by="noor",
        reason="packed under the load before",
    )
    shed.do("choose", load="L3", pack="Tray by weight", grade="1")
    packer.pack_many(14, culls("L3", shed.random), every=2)
    light_tray(packer)


def light_tray(packer: Packer) -> None:
    """Close the last tray light, by the lead's word; before it give one up."""
    shed = packer.shed
    packer.put_box()
    packer.tare()
    packer.fill(upto=5.0)
    shed.do("abandon_box", reason="rot seen in the tray, fruit washed again")
    packer.lift()
    packer.put_box()
    packer.tare()
    packer.fill(upto=8.6)
    packer.close(override_reason="last tray of the load, sold as it is", by="noor")
    packer.lift()


def second_picking(shed: Shed) -> None:
    shed.do("choose", load="L4", pack="Flat 25 lb", grade="2")
    packer = Packer(shed)
    packer.pack_many(10, culls("L4", shed.random), every=2)
    shed.do(
        "look_again",
        load="L2",
        room="HOLD",
        ready={"count": 30},
        still_hold={"count": 10},
        cull={"count": 2},
        by="noor",
    )
    shed.do("cull", load="L2", defect="ANTHR", count=2, where="hold", by="noor")
    shed.do("choose", load="L2", pack="Flat 25 lb", grade="2")
    Packer(shed, cultivar="KEITT").pack_many(3, culls("L2", shed.random), every=2)


def evening(shed: Shed) -> None:
    shed.wait(10)
    shed.do(
        "correct",
        what="cull",
        which="IN1",
        set={"count": 5},
        reason="two more in the tub",
        by="noor",
    )
    shed.do("check_wash", free_chlorine_ppm=95, ph=7.1, by="noor", note="topped up afterwards")
    serials = [f"B1-{number:06d}" for number in range(1, 13) if number != 4]
    shed.do("move", serials=serials, room="CHILL", by="noor")
    shed.do("read_room", room="CHILL", temperature="61 F", by="noor")
    shed.do("dispatch", buyer="MKT", serials=serials[:6], by="noor")
    shed.do("return", serials=[serials[5]], reason="one box too many on the order", by="noor")
    shed.do("void_box", serial=serials[0], reason="asked for too late", by="noor")
    shed.wait(30)
    shed.do("close_day", by="noor")
    shed.wait(5)


def make(seed: int) -> Shed:
    """Make the whole day."""
    shed = Shed(Random(seed))
    morning(shed)
    kent_by_station_tare(shed)
    keitt_by_the_scales_keys(shed)
    trays(shed)
    second_picking(shed)
    evening(shed)
    return shed


def main() -> None:
    """Write the sample day."""
    shed = make(20260618)
    rows = [json.dumps(action, ensure_ascii=False) for action in shed.actions]
    (SAMPLE / "actions.jsonl").write_text("\n".join(rows) + "\n", encoding="utf-8")
    head = "# scale of bench B1, 18 June 2026, practice scale\n"
    body = "\n".join(sorted(shed.lines, key=lambda line: float(line.split("\t")[0])))
    (SAMPLE / "scale.cap").write_text(head + body + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
