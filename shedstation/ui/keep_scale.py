"""Offer to read the scale at the next start as it is read now."""

from dataclasses import dataclass, replace

from shedstation.domain.errors import Refused, WorldFault
from shedstation.domain.farm import Bench
from shedstation.domain.message import Message
from shedstation.ui.hub import Hub


def keep_scale(hub: Hub, wanted: Bench, port_title: str) -> None:
    """Ask whether a bench's port and settings are kept, unless nothing changed or a box is open."""
    practice = hub.desk.practice
    bench = hub.setup.bench(hub.bench)
    if practice is not None and wanted.port == practice.address:
        wanted = replace(wanted, port=bench.port)  # its address is another one at the next start
    if wanted == bench or hub.desk.station.view(hub.bench).step.has_open_box:
        return
    benches = tuple(wanted if each == bench else each for each in hub.setup.benches)
    hub.ask_lead(Message("ui.keep_port", {"port": port_title}), _Keep(hub, benches))


@dataclass(frozen=True)
class _Keep:
    """Keeps a port in the setup once the lead has given the word."""

    hub: Hub
    benches: tuple[Bench, ...]

    def __call__(self, reason: str, by: str | None) -> None:
        del reason
        desk = self.hub.desk
        try:
            setup = replace(self.hub.setup, benches=self.benches)
            desk.station.set_up(setup, at_s=desk.now_s(), by=by)
        except (Refused, WorldFault) as fault:
            self.hub.tell(fault.message)
        else:
            self.hub.tell(Message("ui.port_kept"))
