"""What boxes give away: unaided, with advice, and with a tray of three and six cups; and at what cost.

Weights and spreads: mango_fruit_weight.csv, whose lines name their sources; rows "SIM" are invented.
"""

from collections.abc import Callable, Sequence
from functools import partial
from statistics import fmean, stdev

from measuring import in_turn, report
from trim_simulation import Cultivar, Eye, Job, Packed, Packer, cultivars, lb, unaided

from shedstation.domain.limits import Limits
from shedstation.domain.mass import Mass, Unit
from shedstation.domain.size_codes import SIZE_CODES, SizeStandard
from shedstation.domain.trim import SizeClaim, TrimQuestion, advise

BOXES = 150
SEEDS = (20, 21, 22)
NAMES = (
    "SIM Ataulfo run of orchard",
    "Alphonso",
    "SIM within one sorted count band",
    "Kensington Pride",
    "SIM Tommy Atkins run of orchard",
    "SIM Kent run of orchard",
    "SIM Keitt run of orchard",
    "Osteen",
    "Haden",
)
OTHERS = ("SIM Tommy Atkins run of orchard", "SIM Keitt run of orchard")
BAND = "SIM within one sorted count band"
HEADS = f"  {'':<46}{'over lb':>9}{'+-':>8}{'most':>7}{'moves':>7}{'+-':>6}{'below':>7}{'size kept':>11}"

Packing = Callable[[int], Sequence[Packed]]


def line(how: str, packing: Packing, job: Job) -> None:
    """Print one row: means and what they vary by from seed to seed, and boxes below the floor."""
    runs = [packing(seed) for seed in SEEDS]
    overs = [fmean(job.over_lb(box.over) for box in run) for run in runs]
    moves = [fmean(box.moves for box in run) for run in runs]
    every = [box for run in runs for box in run]
    most = job.over_lb(max(box.over for box in every))
    below = sum(box.over < 0 for box in every)
    kept = fmean(box.keeps_size for box in every)
    size = f"{kept:11.0%}" if job.claims else f"{'-':>11}"
    print(
        f"  {how:<46}{fmean(overs):9.4f}{stdev(overs):8.4f}{most:7.2f}"
        f"{fmean(moves):7.2f}{stdev(moves):6.2f}{below:7d}{size}"
    )


def packed(cultivar: Cultivar, cups: int, job: Job, eye: Eye, seed: int) -> Sequence[Packed]:
    return Packer(cultivar, cups, seed, job, eye).pack(BOXES)


def blind(cultivar: Cultivar, job: Job, seed: int, *, by_eye: bool) -> Sequence[Packed]:
    return unaided(cultivar, BOXES, seed, by_eye=by_eye, job=job)


def table(cultivar: Cultivar) -> None:
    """Compare unaided packing with advice, on a box of 25 lb."""
    print(f"{cultivar.name}: {cultivar.mean_g:.0f} g, spread {cultivar.sd_g:.0f} g")
    job = Job()
    line("unaided, any fruit", partial(blind, cultivar, job, by_eye=False), job)
    line("unaided, last fruit by eye", partial(blind, cultivar, job, by_eye=True), job)
    for cups in (0, 3, 6):
        how = f"advice, {cups} cups" if cups else "advice, no tray"
        line(how, partial(packed, cultivar, cups, job, Eye()), job)


def jobs() -> dict[str, Job]:
    """Give scales, windows and what is good enough, other than those of the table."""
    gram, coarse = partial(Mass, decimals=0, unit=Unit.G), lb(5)
    metric = Job(division=gram(5), floor=gram(12_000), width=gram(500), enough=gram(30))
    return {
        "good enough 0.02 lb": Job(enough=lb(2)),
        "good enough 0.04 lb": Job(enough=lb(4)),
        "good enough 0.06 lb (as above)": Job(),
        "good enough 0.10 lb": Job(enough=lb(10)),
        "good enough 0.20 lb": Job(enough=lb(20)),
        "window of 0.50 lb": Job(width=lb(50)),
        "window of 0.20 lb": Job(width=lb(20)),
        "divisions of 0.05 lb, good enough 0.10 lb": Job(division=coarse, enough=lb(10)),
        "divisions of 0.05 lb, good enough 0.30 lb": Job(division=coarse, enough=lb(30)),
        "divisions of 5 g, 12 kg, good enough 30 g": metric,
    }


def others(cultivar: Cultivar) -> None:
    """Show six cups at other jobs: over against moves, scales, windows, and a packer without an eye."""
    print(f"{cultivar.name}, six cups")
    for how, job in jobs().items():
        line(how, partial(packed, cultivar, 6, job, Eye()), job)
    line(
        "any fruit for the one wanted", partial(packed, cultivar, 6, Job(), Eye(looks_at=1)), Job()
    )


def sized(cultivar: Cultivar) -> None:
    """Show what a claimed size code costs, for fruit sorted into a band of 100 g within code B."""
    print(f"{cultivar.name}, six cups, 351 to 550 g differing by at most 100 g claimed")
    for how, claims in (
        ("no size code claimed", None),
        ("size code B claimed", SizeStandard.CODEX),
    ):
        job = Job(claims=claims)
        line(how, partial(packed, cultivar, 6, job, Eye()), job)


def claimed() -> None:
    """Time the search where 24 plans land, each is judged by its size twice and none keeps it."""
    odd, even = Mass(30, 2, Unit.LB), Mass(55, 2, Unit.LB)
    question = TrimQuestion(
        net=lb(2625),
        limits=Limits(lb(2500), lb(2620)),
        on_top=(Mass(55, 2, Unit.LB), Mass(58, 2, Unit.LB), Mass(52, 2, Unit.LB)),
        cups={cup: Mass(10 + cup, 2, Unit.LB) for cup in range(1, 7)},
        free=(),
        usual=Mass(55, 2, Unit.LB),
        enough=lb(120),
        claim=SizeClaim(
            standard=SizeStandard.CODEX,
            code=SIZE_CODES[SizeStandard.CODEX][0],
            rest=(odd, *[even] * 42),
        ),
    )
    assert len(advise(question).moves) == 1  # the newest out, no plan
    _, usual = in_turn(lambda: None, lambda: advise(question), 9)
    report("trim: no plan keeps the claimed size, 45 fruit", usual * 1000, "ms", "at most 50")


def answers() -> None:
    """Time an answer with six cups, where most is reckoned."""
    heavy = cultivars()["Haden"]
    packer = Packer(heavy, 6, SEEDS[0])
    packer.pack(20)
    report("trim: slowest answer over 20 boxes", packer.slowest_s * 1000, "ms", "at most 50")


def main() -> None:
    claimed()
    answers()
    print(
        f"{len(SEEDS)} times {BOXES} boxes of 25.00 lb, divisions of 0.01 lb; +- from time to time"
    )
    print(HEADS)
    for name in NAMES:
        table(cultivars()[name])
    sized(cultivars()[BAND])
    for name in OTHERS:
        others(cultivars()[name])


if __name__ == "__main__":
    main()
