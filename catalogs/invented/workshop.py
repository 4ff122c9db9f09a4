"""Tune services, tune classes, tastes, jobs and suppliers.

Tune classes: from memory, chosen so that the need of a usual rider (80 kg, leverage 2.86 to 2.34:
2951 to 5902 N s/m for damping ratios of 0.25 to 0.50) lies in 'medium' [mem]. Tastes: damping
ratios from memory [mem]. Prices, minutes and days are invented, of the usual order [mem].
"""

from invented.chance import SOURCE, Chance, Row
from invented.models import MODELS

UNSERVED = "Hadrune slim"
"""One family that nobody revalves: its wrong tunes have no way out."""

WORKSHOPS = ("Skarrowdale Workshop", "Loddenby Shim Works", "Verrashaw Damper Service")
LEVELS = ("light", "medium", "firm")


def services() -> list[Row]:
    lever = {model.damper: False for model in MODELS}
    for model in MODELS:
        lever[model.damper] |= model.lever
    out: list[Row] = []
    for place, family in enumerate(one for one in lever if one != UNSERVED):
        workshop = WORKSHOPS[place % len(WORKSHOPS)]
        for level in LEVELS:
            out.append(_service(family, workshop, level, level, lever[family]))
        if place % 3 == 0:  # a second workshop competes for some families, with a mixed tune too
            other = WORKSHOPS[(place + 1) % len(WORKSHOPS)]
            out.append(_service(family, other, "medium", "medium", lever[family]))
            out.append(_service(family, other, "light", "medium", lever[family]))
    return out


def _service(family: str, workshop: str, compression: str, rebound: str, lever: bool) -> Row:
    short = "".join(word[0] for word in family.split()).upper()
    tune = compression if compression == rebound else f"{compression}-{rebound}"
    # Drawn by the initials, so that a number may be written otherwise at the same price.
    initials = (compression[0] + rebound[0]).upper()
    chance = Chance("service", f"{workshop[0]}-{short}-{initials}")
    return {
        "service_number": f"{workshop[0]}-{short}-{tune}", "workshop": workshop, "damper": family,
        "compression_class": compression, "rebound_class": rebound,
        "lockout_class": chance.weighed({"medium": 5.0, "firm": 3.0, "": 1.0}) if lever else "none",
        "work_days": chance.between(3, 14, 1), "price": chance.between(90, 220, 5),
        "supplier": workshop, "delivery_days": 0 if workshop == WORKSHOPS[0] else 2,
        "source": SOURCE,
    }  # fmt: skip


def tune_classes() -> list[Row]:
    ranges = {
        "light": (1200, 4000, 500, 1900),
        "medium": (2700, 6300, 1300, 2900),
        "firm": (4600, 9500, 2200, 5000),
    }
    return [
        {
            "tune_class": name,
            "rebound_low_n_s_per_m": rebound_low, "rebound_high_n_s_per_m": rebound_high,
            "compression_low_n_s_per_m": low, "compression_high_n_s_per_m": high,
            "shaft_speed_low_m_per_s": 0.1, "shaft_speed_high_m_per_s": 0.25,
            "standing": "assumed", "source": SOURCE,
        }
        for name, (rebound_low, rebound_high, low, high) in ranges.items()
    ]  # fmt: skip


def tastes() -> list[Row]:
    ratios = {"plush": (0.30, 0.12), "neutral": (0.37, 0.17), "firm": (0.45, 0.22)}
    return [
        {
            "taste": name,
            "rebound_ratio": rebound,
            "compression_ratio": compression,
            "source": SOURCE,
        }
        for name, (rebound, compression) in ratios.items()
    ]


def jobs() -> list[Row]:
    listed = (
        ("fit shock", "home", "hex keys;torque wrench;shock pump", 30, 30, 0),
        ("press bushing", "home", "bushing tool;bushing press", 20, 15, 0),
        ("change stroke", "workshop", "air can tool;torque wrench;shock pump", 50, 55, 2),
        ("set volume spacers", "home", "air can tool;shock pump", 20, 15, 0),
        ("fit spring", "home", "hex keys;spring scale", 15, 12, 0),
        ("turn eyelet", "home", "eyelet driver;shock pump", 10, 10, 0),
        ("send for revalve", "workshop", "hex keys;torque wrench;shock pump", 20, 20, 0),
        ("service shock", "workshop", "air can tool;bushing tool;shock pump", 110, 95, 4),
    )
    return [
        {"job": job, "place": place, "tools": tools, "minutes": minutes, "price": price,
         "work_days": days, "source": SOURCE}
        for job, place, tools, minutes, price, days in listed
    ]  # fmt: skip


def suppliers() -> list[Row]:
    minima = {
        "Skarrowdale Workshop": 0, "Ostlin Pryce Wholesale": 0, "Kettlebarrow Parts": 60,
        "Yarnwick Bearings": 0, "Loddenby Shim Works": 0, "Verrashaw Damper Service": 0,
    }  # fmt: skip
    return [
        {"supplier": name, "order_minimum": least, "source": SOURCE}
        for name, least in minima.items()
    ]
