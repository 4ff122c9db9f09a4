"""What of a bundle is put into the bike, as it is written back once it is done."""

from recommender.answer.records import FROM, KEPT, PLAIN, PutIn
from recommender.rules.choices import DELIVERED, REUSED_HEAD, REUSED_SHAFT, SERVICED
from recommender.search.completion import Completion

_REUSED = {"head": REUSED_HEAD, "shaft": REUSED_SHAFT}
_FROM = dict(zip(_REUSED.values(), FROM, strict=True))


def put_in(completion: Completion) -> PutIn:
    """What changes on the bike with this bundle."""
    market, shock, frames = completion.whole.market, completion.whole.shock, completion.frames
    new = shock != market.present
    kits = {end: completion.label(f"{end}_kit") for end in _REUSED}
    tune = completion.label("tune")
    coil = bool(frames.fact("spring_is_coil").low[0])
    on_it = bool(frames.fact("spring_fitted").low[0])
    changed = new or bool(frames.fact("spring_changed").high[0])
    services = {DELIVERED: "", SERVICED: PLAIN}
    return PutIn(
        shock=market.shocks.key_of(shock) if new else "",
        **{
            f"{end}_kit": _FROM.get(label, label)
            for end, label in kits.items() if new or label != _REUSED[end]
        },
        spring="" if not coil or not (new or changed) else KEPT if on_it else
        completion.label("spring"),
        spacers=None if coil or not changed else round(completion.number("spring_spacers")),
        service=services.get(tune, tune),
        stroke_mm=completion.number("stroke_mm") if frames.fact("stroke_changed").low[0] else None,
        eye_turned=bool(frames.fact("shock_eyelet_turned").low[0]),
    )  # fmt: skip
