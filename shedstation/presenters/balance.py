"""Say in a sentence where the fruit of a load are."""

from shedstation.domain.intake import Load
from shedstation.domain.load_balance import LoadBalance
from shedstation.domain.mass import Mass, Unit, zero
from shedstation.words import Words


def balance_said(load: Load, balance: LoadBalance, words: Words) -> str:
    """Say what came in, what became of it and what is left, and what that does not count."""
    parts = (balance.packed, balance.culled, balance.held, balance.in_cups)
    known = next((each for each in (balance.received, *parts) if each is not None), None)
    nothing = zero(Unit.LB if known is None else known.unit)
    values: dict[str, Mass] = {
        "packed": balance.packed or nothing,
        "culled": balance.culled or nothing,
        "held": balance.held or nothing,
        "cups": balance.in_cups or nothing,
    }
    if balance.rest is not None and balance.rest.count < 0:
        more = {"received": balance.received, "more": -balance.rest}
        said = words.text("ui.balance_over", load=load.load, **more, **values)
    elif balance.rest is None:
        said = words.text("ui.balance_unweighed", load=load.load, **values)
    else:
        whole = {"received": balance.received, "rest": balance.rest}
        said = words.text("ui.balance", load=load.load, **whole, **values)
    if not balance.unweighed:
        return said
    return f"{said} {words.text('ui.balance_counted', count=balance.unweighed)}"
