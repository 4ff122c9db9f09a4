"""A foreign cell in the catalogue's own writing: decimal marks, units, money, words."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from recommender.catalogue.grid import Cell, Spoilt
from recommender.facts.fields import Text
from recommender.facts.quantity import Choice, Number, Quantity
from recommender.facts.units import UNITS, units_of
from recommender.files.cells import guarded

SYMBOLS: Mapping[str, str] = {"€": "EUR", "£": "GBP", "zł": "PLN", "Kč": "CZK", "Fr.": "CHF"}
"""Signs that mean one currency. '$' and 'kr' mean several: the code must be written."""

MOST_LETTERS = 200
"""Of a cell with a number: the patterns below take time that grows with the square of it."""

_BLANKS = str.maketrans({"\u00a0": " ", "\u202f": " ", "\u2009": " ", "\u2212": "-", "\u00b4": "'"})
_DIGITS = re.compile(r"[0-9](?:[0-9.,']|(?<=[0-9]) (?=[0-9]{3}(?![0-9])))*")
_SPLIT = re.compile(r"\s*[x×*]\s*", re.IGNORECASE)
_COMMA = re.compile(r"[0-9]{1,3}(?:[.' ][0-9]{3})+(?:,[0-9]+)?|[0-9]+(?:,[0-9]+)?")
_POINT = re.compile(r"[0-9]{1,3}(?:[,' ][0-9]{3})+(?:\.[0-9]*)?|[0-9]+(?:\.[0-9]*)?")
_CODE = re.compile(r"^\s*([A-Z]{3})\s+|\s+([A-Z]{3})\s*$|(?<=[0-9.,-])([A-Z]{3})\s*$")


@dataclass(frozen=True, slots=True)
class Read:
    """What a cell says in the catalogue's writing, or what is wrong with it; a price's currency."""

    text: str = ""
    fault: str = ""
    currency: str = ""


def read_number(cell: Cell, number: Number, decimal: str, unit: str, part: int | None) -> Read:
    """A number of a field, converted to the field's own unit."""
    if isinstance(cell, Spoilt):
        return Read(fault=cell.why)
    try:
        if isinstance(cell, float) and part is None:
            return Read(written(number.parse(cell, unit or None)))
        text = f"{cell:.15g}" if isinstance(cell, float) else cell.translate(_BLANKS)
        if len(text) > MOST_LETTERS:
            raise ValueError(f"{number.wanted} is wanted, not a text of {len(text)} letters")
        text, currency = split_money(text) if number.unit == "money" else (text, "")
        if part is not None and text:
            text = _part(text, part)
        plain = _DIGITS.sub(lambda match: plain_digits(match[0], decimal), text)
        quantity = number.parse(plain, unit or None)
    except ValueError as error:
        hint = _other_unit(cell, number, decimal, unit) if "outside" in str(error) else ""
        return Read(fault=f"{error}{hint}")
    return Read(written(quantity), currency=currency if quantity.known else "")


def read_choice(cell: Cell, choice: Choice, words: Mapping[str, str]) -> Read:
    """A word of the closed list, by the mapping's words (in any case of letters) or itself."""
    if isinstance(cell, Spoilt):
        return Read(fault=cell.why)
    text = shown(cell)
    try:
        return Read(choice.parse(_mapped(text, words)) or "")
    except ValueError as error:
        return Read(fault=f"{error}; other words are mapped by 'words'")


def read_text(cell: Cell, bounds: Text, words: Mapping[str, str], key: bool) -> Read:
    """A text on one line."""
    if isinstance(cell, Spoilt):
        return Read(fault=cell.why)
    text = guarded(" ".join(_mapped(shown(cell), words).split()))
    if not text:
        return Read(fault="blank: it names the row") if key else Read()
    fault = bounds.fault(text)
    return Read(fault=fault) if fault else Read(text)


def written(quantity: Quantity) -> str:
    """A quantity as a catalogue cell; '' if unknown."""
    if not quantity.known:
        return ""
    if quantity.kind == "exact":
        return f"{quantity.low:.12g}"
    if quantity.kind == "range":
        return f"{quantity.low:.12g} to {quantity.high:.12g}"
    return f"{quantity.mid:.12g} +/- {(quantity.high - quantity.low) / 2:.12g}"


def shown(cell: Cell) -> str:
    """A cell as text, as it stood in the file."""
    if isinstance(cell, Spoilt):
        return cell.text
    return cell if isinstance(cell, str) else f"{cell:.15g}"


def plain_digits(text: str, decimal: str) -> str:
    """'1.234,50' as '1234.50'; ValueError where the marks are not those that are told."""
    text = text.rstrip(" '")
    if decimal == ",":
        tail = text[-1] if text[-1] in ".," else ""
        core = text.removesuffix(tail)
        if not _COMMA.fullmatch(core):
            raise ValueError(f"{text[:30]!r} does not follow the decimal comma that is told")
        return re.sub(r"[.' ]", "", core).replace(",", ".")
    if not _POINT.fullmatch(text):
        raise ValueError(f"{text[:30]!r} does not follow the decimal point that is told")
    return re.sub(r"[,' ]", "", text)


def split_money(text: str) -> tuple[str, str]:
    """Amount and currency code of '349,00 EUR', '€ 349' or '349.-'; '' where none is written."""
    text, found = text.strip(), ""
    for sign, code in SYMBOLS.items():
        if sign in text:
            text, found = text.replace(sign, " ").strip(), code
    if match := _CODE.search(text):
        code = next(group for group in match.groups() if group)
        if found and code != found:
            raise ValueError(f"two currencies in one cell, {found} and {code}")
        text, found = (text[: match.start()] + text[match.end() :]).strip(), code
    if any(sign in text for sign in ("$", "kr")):
        raise ValueError("'$' and 'kr' mean several currencies: write the code, such as USD")
    return re.sub(r"[.,]?[-–—]+$", "", text).strip(), found


def _mapped(text: str, words: Mapping[str, str]) -> str:
    if not words:
        return text
    folded = {word.casefold(): meant for word, meant in words.items()}
    return folded.get(text.casefold(), text)


def _part(text: str, part: int) -> str:
    parts = _SPLIT.split(text.strip())
    if part > len(parts):
        raise ValueError(f"number {part} of {len(parts)} is wanted, such as in '210 x 50'")
    unit = re.search(r"[0-9.\s]([a-z\"]+)$", parts[-1], re.IGNORECASE)
    # '8.5 x 2.5 in': the unit at the end goes for every number of the cell.
    needs = unit is not None and part < len(parts) and parts[part - 1][-1:].isdigit()
    return f"{parts[part - 1]} {unit[1]}" if needs and unit else parts[part - 1]


def _other_unit(cell: Cell, number: Number, decimal: str, unit: str) -> str:
    """The unit in which the number would be accepted: a column may mix units."""
    if number.unit not in UNITS:
        return ""
    text = shown(cell)
    for other in units_of(UNITS[number.unit][0]):
        if other in (unit or number.unit, "m", "cm", "pa", "n_per_m"):
            continue
        try:
            got = number.parse(_DIGITS.sub(lambda m: plain_digits(m[0], decimal), text), other)
        except ValueError:
            continue
        return f"; in {other} it would be {written(got)}{number.shown_unit}: write the unit there"
    return ""
