"""Read a file that says where a weighing module on a Modbus line keeps its weight.

Which register holds what is each module's own affair: its handbook says it, and this file repeats it.
It is as little trusted as a file of a learned language.
"""

from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Final, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, ValidationError

from shedstation.devices.languages.language import Language
from shedstation.devices.languages.registers import RegisterMap, register_language
from shedstation.devices.learning.row import NAME
from shedstation.devices.learning.shared_file import MOST_FILES, read_toml, refused
from shedstation.domain.errors import WorldFault
from shedstation.domain.mass import Unit
from shedstation.domain.message import Message

SUFFIX: Final = ".registers.toml"
_Register = Annotated[int, Field(ge=0, le=59, strict=True)]
_Bit = Annotated[int, Field(ge=0, le=15, strict=True)]
_Name = Annotated[str, StringConstraints(max_length=40, pattern=f"^{NAME.pattern}$")]


class RegisterFile(BaseModel):
    """What such a file holds; registers are counted from the first one read."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    form: Literal[1]
    name: _Name
    over: Literal["serial", "tcp"]
    device: Annotated[int, Field(ge=1, le=247, strict=True)] = 1
    function: Literal[3, 4] = 3
    first: Annotated[int, Field(ge=0, le=65_476, strict=True)] = 0
    high_word: _Register | None = None
    """None for a weight of one register, which is signed too."""

    low_word: _Register
    unit: Literal["kg", "lb", "g", "oz"]
    decimals: Annotated[int, Field(ge=0, le=6, strict=True)] | None = None
    decimals_at: _Register | None = None
    """The register that holds the decimals; else `decimals` says them once for all."""

    status: _Register | None = None
    moving: _Bit | None = None
    over_range: _Bit | None = None
    under_range: _Bit | None = None
    net: _Bit | None = None
    fault: _Bit | None = None

    def language(self) -> Language:
        """Give the language that asks for these registers and reads them."""
        bits = {
            name: getattr(self, name)
            for name in ("moving", "over_range", "under_range", "net", "fault")
            if getattr(self, name) is not None
        }
        where = RegisterMap(
            device=self.device,
            function=self.function,
            first=self.first,
            high_word=self.high_word,
            low_word=self.low_word,
            decimals=self.decimals_at,
            fixed_decimals=self.decimals or 0,
            status=self.status,
            bits=bits,
            unit=Unit(self.unit),
        )
        return register_language(self.name, where, over_tcp=self.over == "tcp")


def read_registers(path: Path) -> Language:
    """Read such a file.

    Raises:
        WorldFault: if it cannot be read or is not in the form, with everything that is wrong.
    """
    try:
        found = RegisterFile.model_validate(read_toml(path))
    except ValidationError as error:
        keys = [".".join(map(str, each["loc"])) for each in error.errors(include_url=False)]
        expected = Message("registers.expected")
        wrong = [Message("teach.file_key", {"key": key[:40], "expected": expected}) for key in keys]
        raise refused(path, wrong) from error
    if found.decimals is not None and found.decimals_at is not None:
        raise refused(path, [Message("registers.two_decimals")])
    if found.status is None and _has_bits(found):
        raise refused(path, [Message("registers.no_status")])
    return found.language()


def adopt_registers(path: Path, folder: Path) -> str:
    """Take over such a file that came, and give the name of its language.

    Raises:
        WorldFault: if it is not in the form, its name is taken, or it cannot be written.
    """
    name = read_registers(path).name
    kept = folder / f"{name}{SUFFIX}"
    if kept.exists():
        raise WorldFault(Message("teach.file_name_taken", {"name": name}))
    try:
        folder.mkdir(parents=True, exist_ok=True)
        kept.write_bytes(path.read_bytes())
    except OSError as error:
        values = {"file": str(kept), "why": error.strerror or ""}
        raise WorldFault(Message("teach.cannot_write", values)) from error
    return name


def _has_bits(found: RegisterFile) -> bool:
    bits = (found.moving, found.over_range, found.under_range, found.net, found.fault)
    return any(each is not None for each in bits)


def register_languages(folder: Path, tell: Callable[[WorldFault], None]) -> tuple[Language, ...]:
    """Give the languages of such files in a folder; one that is wrong is told and left out.

    Args:
        folder: It need not exist.
        tell: Is given what is wrong with each file that is left out.
    """
    found = []
    for path in sorted(folder.glob(f"*{SUFFIX}"))[:MOST_FILES] if folder.is_dir() else ():
        try:
            found.append(read_registers(path))
        except WorldFault as fault:
            tell(fault)
    return tuple(found)
