"""Serve a practice scale on loopback, so that the station reads it like any other."""

import socket
import threading
from collections.abc import Callable
from contextlib import suppress
from fractions import Fraction
from random import Random
from typing import Final

from shedstation.devices.practice.scale import PracticeScale, PracticeSetup
from shedstation.devices.practice.sending import Sending
from shedstation.domain.mass import Mass, Unit

_STEP_S: Final = 0.05
_MOST_HEARD: Final = 64
_STOP_WAIT_S: Final = 2.0
_FRUIT: Final = (1.15, 0.2)
"""Mean and spread of a practice fruit in pounds, invented."""

_POUND_BOX: Final = (1.5, 1.9)


class PracticeServer:
    """A practice scale behind a TCP address; what people do to it comes through calls."""

    def __init__(
        self,
        setup: PracticeSetup,
        *,
        seed: int,
        now_s: Callable[[], float],
        port: int = 0,
        follow: Callable[[], PracticeSetup] | None = None,
    ) -> None:
        """Listen on loopback only.

        Args:
            setup: What the scale is like.
            seed: Makes fruit and boxes; the same seed gives the same ones.
            now_s: A monotonic clock in seconds.
            port: TCP port; 0 takes a free one.
            follow: Asked at each connection what the scale is like now; without, it stays as it is.
        """
        self._random = Random(seed)  # noqa: S311  # fruit weights, not secrets
        self._follow = follow or (lambda: setup)
        self._scale = PracticeScale(setup, Random(seed))  # noqa: S311  # noise
        self._lock = threading.Lock()
        self._now_s = now_s
        self._zero_s = now_s()
        self._stop = threading.Event()
        self._is_plugged = True
        self._fruit: list[Mass] = []
        self._out: list[Mass] = []
        """Fruit that were taken out and lie beside the scale."""
        self._listener = socket.create_server(("127.0.0.1", port))
        self._listener.settimeout(_STEP_S)
        self._thread = threading.Thread(target=self._serve, name="practice scale", daemon=True)

    @property
    def address(self) -> str:
        """Get the port's name as the station wants it."""
        return f"socket://127.0.0.1:{self._listener.getsockname()[1]}"

    @property
    def load(self) -> float:
        """Get the load on the pan in divisions."""
        with self._lock:
            return self._scale.load

    def start(self) -> None:
        """Start sending."""
        self._thread.start()

    def stop(self) -> None:
        """Stop sending and free the port."""
        self._stop.set()
        self._thread.join(_STOP_WAIT_S)
        self._listener.close()

    def put_box(self) -> None:
        """Put an empty box on."""
        with self._lock:
            self._scale.put(self._mass(self._random.uniform(*_POUND_BOX)))

    def add_fruit(self) -> None:
        """Put one fruit in."""
        mean, spread = _FRUIT
        with self._lock:
            fruit = self._mass(max(self._random.gauss(mean, spread), mean / 2))
            self._fruit.append(fruit)
            self._scale.put(fruit)

    def add_little(self) -> None:
        """Put in a very small fruit, to land on weight when practising."""
        with self._lock:
            fruit = self._mass(self._random.uniform(0.1, 0.2))
            self._fruit.append(fruit)
            self._scale.put(fruit)

    def take_fruit(self, from_top: int = 1) -> None:
        """Take a fruit out and lay it beside the scale: 1 the last one put in, 2 the one before."""
        with self._lock:
            if self._fruit:
                fruit = self._fruit.pop(-min(from_top, len(self._fruit)))
                self._out.append(fruit)
                self._scale.take(fruit)

    def put_back(self, weight: Mass | None = None) -> None:
        """Put a fruit that was taken out in again: the one that weighs nearest, or the last one."""
        with self._lock:
            if self._out:
                fruit = self._out.pop(-1 if weight is None else self._nearest(weight))
                self._fruit.append(fruit)
                self._scale.put(fruit)

    def _nearest(self, weight: Mass) -> int:
        def off(place: int) -> Fraction:
            return abs(self._out[place].nanograms - weight.nanograms)

        return min(range(len(self._out)), key=off)

    def lift_off(self) -> None:
        """Take everything off."""
        with self._lock:
            self._fruit.clear()
            self._scale.clear()

    def press_tare(self) -> None:
        """Press the scale's tare key."""
        with self._lock:
            self._scale.press_tare()

    def press_zero(self) -> None:
        """Press the scale's zero key."""
        with self._lock:
            self._scale.press_zero()

    @property
    def has_print_key(self) -> bool:
        """Get whether it sends only when its print key is pressed."""
        return self._follow().sending is Sending.PRINT_KEY

    def press_print(self) -> None:
        """Press the scale's print key."""
        with self._lock:
            self._scale.press_print()

    def shake(self) -> None:
        """Put a hand on the pan for a moment."""
        with self._lock:
            self._scale.shake()

    def plug(self, *, out: bool) -> None:
        """Pull the cable out, or put it back."""
        self._is_plugged = not out

    @property
    def is_plugged(self) -> bool:
        """Get whether the cable is in."""
        return self._is_plugged

    def _mass(self, pounds: float) -> Mass:
        division = self._scale.setup.division
        amount = pounds * Unit.LB.nanograms / division.unit.nanograms
        steps: int = round(amount * 10**division.decimals / division.count)
        return division * steps

    def _serve(self) -> None:
        while not self._stop.is_set():
            with suppress(OSError):
                peer, _ = self._listener.accept()
                with peer:
                    if self._is_plugged:
                        self._send_to(peer)
            self._bytes()  # Time passes for the scale with nobody listening too.

    def _send_to(self, peer: socket.socket) -> None:
        self._become(self._follow())
        peer.settimeout(_STEP_S)
        while not self._stop.is_set() and self._is_plugged:
            peer.sendall(self._bytes())
            with suppress(TimeoutError):
                heard = peer.recv(_MOST_HEARD)
                if not heard:
                    return
                with self._lock:
                    self._scale.hear(heard)

    def _become(self, setup: PracticeSetup) -> None:
        """Turn into another scale with an empty pan, if the setup changed."""
        with self._lock:
            if setup != self._scale.setup:
                self._fruit.clear()
                self._out.clear()
                self._scale = PracticeScale(setup, self._random)
                self._zero_s = self._now_s()

    def _bytes(self) -> bytes:
        with self._lock:
            frames = self._scale.frames_until(self._now_s() - self._zero_s)
        return b"".join(frame for _, frame in frames)
