"""What writes a bundle back into the bike's file once it is on the bike."""

import shlex

from recommender.answer.records import PutIn


def words(parts: PutIn, more: str = "") -> list[str]:
    """The command that tells what was put in, an option with its value at a time; `more` stands
    behind the file. Empty: nothing was."""
    told = []
    for name, value in parts.model_dump(exclude_defaults=True).items():
        option = "--" + name.removesuffix("_mm").replace("_", "-")
        text = f"{value:g}" if name == "stroke_mm" else str(value)
        told.append(option if value is True else f"{option} {shlex.quote(text)}")
    return [f"recommender fitted BIKE.toml{more}", *told] if told else []
