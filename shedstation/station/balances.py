"""Balance loads from what was recorded of them."""

from shedstation.domain.intake import Load
from shedstation.domain.load_balance import LoadBalance, load_balance
from shedstation.station.ports import Ledger


def balance_of(ledger: Ledger, load: Load) -> LoadBalance:
    """Say where the fruit of a load are."""
    return load_balance(
        load,
        ledger.boxes_of_load(load.load),
        ledger.culls_of_load(load.load),
        ledger.held_of_load(load),
        ledger.cups_of_load(load.load),
    )
