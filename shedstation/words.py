"""Say messages in the person's language: screen, command line, label and PDF ask here alike."""

import gettext
import io
import re
from collections.abc import Iterable
from datetime import date
from functools import cache
from importlib import resources
from typing import Final

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po

from shedstation.domain.message import Message

LANGUAGES: Final = {"en": "English", "es": "Español"}


@cache
def read_catalogue(language: str) -> Catalog:
    """Read one language's catalogue; ids are message names, texts have {named} places.

    Raises:
        FileNotFoundError: if there is no such language.
    """
    source = resources.files("shedstation") / "catalogues" / language / "shedstation.po"
    return read_po(io.BytesIO(source.read_bytes()), locale=language)


@cache
def _translations(language: str) -> gettext.GNUTranslations:
    compiled = io.BytesIO()
    write_mo(compiled, read_catalogue(language))
    compiled.seek(0)
    return gettext.GNUTranslations(compiled)


def without_key(text: str) -> str:
    """Give a control's text without the mark of its key, to name the control in a sentence."""
    return re.sub(r"&(?=\w)", "", text)


class Words:
    """One language."""

    def __init__(self, language: str) -> None:
        """Read the language's catalogue.

        Raises:
            FileNotFoundError: if there is no such language.
        """
        self.language = language
        self._translations = _translations(language)

    def say(self, message: Message) -> str:
        """Give the sentence of a message with its values in place."""
        return self.text(message.name, **message.values)

    def text(self, name: str, /, **values: object) -> str:
        """Give the text of a name; the value `count` chooses singular or plural."""
        count = values.get("count")
        found = (
            self._translations.ngettext(name, name, count)
            if isinstance(count, int)
            else self._translations.gettext(name)
        )
        said = {key: self.value(value) for key, value in values.items()}
        return found.format_map(said)

    def value(self, value: object) -> str:
        """Say one value: a nested message, a date, a list, or anything as its text."""
        if isinstance(value, Message):
            return without_key(self.say(value))
        if isinstance(value, date):
            return self.day(value)
        if isinstance(value, list | tuple):
            return self.listed(value)
        return "" if value is None else str(value)

    def day(self, day: date) -> str:
        """Say a date in full, such as `Thu 18 June 2026`."""
        weekday = self._translations.gettext(f"date.weekday_{day.isoweekday()}")
        month = self._translations.gettext(f"date.month_{day.month}")
        return self.text("date.full", weekday=weekday, day=day.day, month=month, year=day.year)

    def listed(self, values: Iterable[object]) -> str:
        """Say several values one after the other."""
        return ", ".join(self.value(each) for each in values)
