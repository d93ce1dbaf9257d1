"""Keep the lead's PIN as a hash. It reminds of who may do a thing; it is not security."""

import hashlib
import hmac
from typing import Final

_ROUNDS: Final = 50_000


def pin_hash(pin: str, salt: str) -> str:
    """Give the text to keep for a PIN: salt and PBKDF2-SHA-256."""
    made = hashlib.pbkdf2_hmac("sha256", pin.encode(), salt.encode(), _ROUNDS)
    return f"{salt}${made.hex()}"


def fits_pin(pin: str, kept: str) -> bool:
    """Tell whether a PIN is the one that was kept."""
    salt = kept.partition("$")[0]
    return hmac.compare_digest(pin_hash(pin, salt), kept)
