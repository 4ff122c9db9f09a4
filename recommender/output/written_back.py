"""What writes a bundle back into the bike's file once it is on the bike."""

import shlex

from recommender.answer.records import PutIn


def options(parts: PutIn) -> str:
    """The options of `recommender fitted` that tell what was put in, each with a space before."""
    told = []
    for name, value in parts.model_dump(exclude_defaults=True).items():
        option = "--" + name.removesuffix("_mm").replace("_", "-")
        told += [option] if value is True else [option, f"{value:g}" if name == "stroke_mm"
                                                else str(value)]  # fmt: skip
    return "".join(f" {shlex.quote(one)}" for one in told)
