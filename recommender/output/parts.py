"""A bundle's part in words."""

from typing import Literal

from recommender.answer.numbers import money, whole
from recommender.answer.records import BundleRecord, Part
from recommender.answer.shopping import named, price_words


def priced(
    part: Part, currency: str, unit: Literal["money", "cents"] = "money"
) -> tuple[str, str]:
    """What it and the work on it cost, in words."""
    return price_words(part.price_ends, part.labour_ends, currency, unit)


def part_words(part: Part) -> str:
    """What it is, with the name it is ordered by where the words do not hold that already."""
    return named(part.role, part.name, part.text, part.how) if part.text else part.name


def yearly(record: BundleRecord) -> str:
    """What it costs a year, with the use that this assumes; '' where not every price is told."""
    if "price" in record.blank:
        return ""
    told = whole(record.per_year, record.per_year_ends, record.currency)
    return f"{told} a year over {record.years:g} years (assumed)"


def total(record: BundleRecord) -> str:
    """What the whole costs; where not every price is told, the least that it can be."""
    if "price" not in record.blank:
        return whole(record.price, record.price_ends, record.currency)
    return f"not known, {money(record.least_price, record.currency)} or more"
