"""What a scale sends at its own pace is fresh; what cannot have been sent just now is not."""

from hypothesis import given
from hypothesis import strategies as st

from shedstation.devices.lines.backlog import AWAY_S, Backlog

PERIODS = st.floats(0.02, 3.0)
LOOK_S = 0.1


def looks(at_s: list[float], freshness: Backlog, start_s: float) -> list[int]:
    """Give how many frames were fresh at each arrival; looks in vain come every tenth between."""
    found, now_s = [], start_s
    for arrival_s in at_s:
        while arrival_s - now_s > LOOK_S:
            now_s += LOOK_S
            freshness.found(now_s, 0)
        now_s = max(now_s, arrival_s)
        found.append(freshness.found(now_s, 1))
    return found


@given(PERIODS, st.lists(st.floats(0, 0.016), min_size=20, max_size=60))
def test_that_a_scale_at_its_own_pace_is_always_fresh(period_s: float, late_s: list[float]) -> None:
    # 16 ms is how late a USB chip may hand its bytes over (common practice, no published source).
    freshness = Backlog()
    freshness.restart(0.0)
    arrivals = [n * period_s + late for n, late in enumerate(late_s, start=1)]
    assert all(looks(sorted(arrivals), freshness, 0.0))


@given(PERIODS, st.floats(AWAY_S * 1.01, 3600.0), st.integers(1, 5000))
def test_that_nothing_found_after_being_away_is_fresh_and_the_next_is(
    period_s: float, away_s: float, frames: int
) -> None:
    freshness = Backlog()
    freshness.restart(0.0)
    looks([n * period_s for n in range(1, 20)], freshness, 0.0)
    now_s = 19 * period_s + away_s
    assert freshness.found(now_s, frames) == 0
    assert looks([now_s + period_s], freshness, now_s) == [1]


@given(st.floats(0.02, 0.1), st.integers(1, 40))
def test_that_a_backlog_in_pieces_is_stale_to_its_last_piece(period_s: float, pieces: int) -> None:
    freshness = Backlog()
    freshness.restart(0.0)
    looks([n * period_s for n in range(1, 20)], freshness, 0.0)
    now_s = 19 * period_s + 0.01
    assert freshness.found(now_s, 2000) == 0
    for _ in range(pieces):
        now_s += 0.001
        assert freshness.found(now_s, 3) == 0
    assert looks([now_s + period_s], freshness, now_s) == [1]
