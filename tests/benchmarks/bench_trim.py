"""What boxes of 25 lb give away: unaided, with advice, and with a tray of three and six cups."""

from statistics import fmean

from trim_simulation import Cultivar, Packed, Packer, cultivars, unaided

BOXES = 300
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


def main() -> None:
    print(f"{BOXES} boxes of 25.00 lb each, divisions of 0.01 lb")
    heads = f"{'over lb':>10}{'most':>10}{'moves':>8}{'below':>8}{'worst ms':>9}"
    print(f"  {'':<32}{heads}")
    for name in NAMES:
        table(cultivars()[name])


if __name__ == "__main__":
    main()
