"""What boxes of 25 lb give away: unaided, with advice, and with a tray of three and six cups."""

from statistics import fmean

from measuring import in_turn, report
from trim_simulation import FLOOR, HIGHEST, Cultivar, Packed, Packer, cultivars, unaided

from shedstation.domain.limits import Limits
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.size_codes import SIZE_CODES, SizeStandard
from shedstation.domain.trim import SizeClaim, TrimQuestion, advise

BOXES = 1_000
SEED = 20
NAMES = (
    "Alphonso",
    "Kensington Pride",
    "Osteen",
    "Haden",
    "SIM Ataulfo run of orchard",
    "SIM Tommy Atkins run of orchard",
    "SIM Kent run of orchard",
    "SIM Keitt run of orchard",
    "SIM within one sorted count band",
)


def line(how: str, boxes: list[Packed], slowest_s: float | None = None) -> None:
    """Print one row of the table; moves are those beyond filling, below counts boxes too light."""
    over = fmean(box.over for box in boxes) / 100
    moves = fmean(box.moves for box in boxes)
    below = sum(box.over < 0 for box in boxes)
    answer = "" if slowest_s is None else f"{slowest_s * 1000:9.1f}"
    most = max(box.over for box in boxes) / 100
    print(f"  {how:<32}{over:10.3f}{most:10.2f}{moves:8.2f}{below:8d}{answer}")


def table(cultivar: Cultivar) -> None:
    print(f"{cultivar.name}: {cultivar.mean_g:.0f} g, spread {cultivar.sd_g:.0f} g")
    line("unaided, any fruit", unaided(cultivar, BOXES, SEED, by_eye=False))
    line("unaided, last fruit by eye", unaided(cultivar, BOXES, SEED, by_eye=True))
    for cups in (0, 3, 6):
        packer = Packer(cultivar, cups, SEED)
        how = f"advice, {cups} cups" if cups else "advice, no tray"
        line(how, packer.pack(BOXES), packer.slowest_s)


def claimed() -> None:
    """Time the search where 24 plans land, each is judged by its size twice and none keeps it."""
    odd, even = Mass(30, 2, Unit.LB), Mass(55, 2, Unit.LB)
    question = TrimQuestion(
        net=HIGHEST + Mass(5, 2, Unit.LB),
        limits=Limits(FLOOR, HIGHEST),
        on_top=(Mass(55, 2, Unit.LB), Mass(58, 2, Unit.LB), Mass(52, 2, Unit.LB)),
        cups={cup: Mass(10 + cup, 2, Unit.LB) for cup in range(1, 7)},
        free=(),
        usual=Mass(55, 2, Unit.LB),
        enough=HIGHEST - FLOOR,
        claim=SizeClaim(
            standard=SizeStandard.CODEX,
            code=SIZE_CODES[SizeStandard.CODEX][0],
            rest=(odd, *[even] * 42),
        ),
    )
    assert advise(question).moves == ()
    _, usual = in_turn(lambda: None, lambda: advise(question), 9)
    report("trim: no plan keeps the claimed size, 45 fruit", usual * 1000, "ms", "at most 50")


def main() -> None:
    claimed()
    print(f"{BOXES} boxes of 25.00 lb each, divisions of 0.01 lb")
    heads = f"{'over lb':>10}{'most':>10}{'moves':>8}{'below':>8}{'worst ms':>9}"
    print(f"  {'':<32}{heads}")
    for name in NAMES:
        table(cultivars()[name])


if __name__ == "__main__":
    main()
