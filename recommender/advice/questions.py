"""The questions that make a bike, rider and wishes file, in a workshop's order."""

from dataclasses import dataclass
from typing import Literal

from pydantic import BaseModel

from recommender.advice.measuring import how
from recommender.answer.measuring_parts import THIRDS
from recommender.facts import words
from recommender.facts.bike import Bike
from recommender.facts.fields import choice_of, model_in, numbers
from recommender.facts.quantity import Choice, Number
from recommender.facts.rider import Rider
from recommender.facts.wishes import ADJUSTERS, Wishes
from recommender.facts.words import SIDES

Form = Literal["text", "word", "number", "row", "sizes", "range", "most", "ends", "seat", "list"]
MODELS: dict[str, type[BaseModel]] = {"bike": Bike, "rider": Rider, "wishes": Wishes}
TRUNNION, EYELET = "trunnion", "eyelet"


@dataclass(frozen=True)
class Question:
    """One question. `fills` are dotted places of the file, one or (forms 'row', 'ends') several.

    `mount`: asked only if the frame's mount is, or may be, that one. `parts` names the numbers of a
    row.
    """

    name: str
    ask: str
    form: Form
    fills: tuple[str, ...]
    mount: str = ""
    accepted: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()

    @property
    def how(self) -> str:
        """How to measure or find it; '' where the question says it all."""
        told = dict.fromkeys(how(place) for place in self.fills)
        return " ".join(text for text in told if text)

    @property
    def words(self) -> tuple[str, ...]:
        """The words that are accepted, () if any text is."""
        if self.accepted:
            return self.accepted
        field = field_at(self.fills[0])
        return field.values if isinstance(field, Choice) else ()


def field_at(place: str) -> Number | Choice | None:
    """The declaration of a dotted place; None for texts, lists and tables."""
    top, *path = place.split(".")
    model = MODELS[top]
    for name in path[:-1]:
        inner = model_in(model.model_fields[name])
        if inner is None:
            return None
        model = inner
    return numbers(model).get(path[-1]) or choice_of(model.model_fields[path[-1]])


def _row(
    name: str, of: str, fills: tuple[str, ...], parts: tuple[str, ...], mount: str = ""
) -> Question:
    """A question for several numbers at once: 'Sleeve: width x bore'."""
    return Question(name, f"{of}: {' x '.join(parts)}", "row", fills, mount, parts=parts)


def _mount(end: str, mount: str = "") -> tuple[Question, ...]:
    where = f"bike.{end}"
    return (
        _row(f"{end}-gap", f"{end.capitalize()} end", (f"{where}.gap_mm", f"{where}.bolt_mm"),
             ("gap between the lugs", "bolt"), mount),
        Question(f"{end}-grip", f"{end.capitalize()} end: widest sleeve that the bolt clamps",
                 "number", (f"{where}.grip_mm",), mount),
        Question(f"{end}-carbon", f"{end.capitalize()} end: are the lugs carbon", "word",
                 (f"{where}.carbon_lugs",)),
    )  # fmt: skip


def _sleeve(end: str, mount: str = "") -> tuple[Question, ...]:
    where = f"bike.present_shock.{end}_sleeve"
    return (
        _row(
            f"{end}-sleeve", f"Sleeve now at the {end} end",
            (f"{where}.width_mm", f"{where}.bore_mm", f"{where}.diameter_mm"),
            ("width", "bore", "diameter"), mount,
        ),
        Question(f"{end}-wear", f"Condition of the sleeve at the {end} end", "word",
                 (f"{where}.condition",), mount),
    )  # fmt: skip


def _room() -> tuple[Question, ...]:
    return tuple(
        _row(f"room-{third}", f"Room about the shock's {third} third",
             tuple(f"bike.room.{third}_{side}_mm" for side in SIDES), SIDES)
        for third in THIRDS
    )  # fmt: skip


QUESTIONS: tuple[Question, ...] = (
    Question("name", "What shall the bike be called", "text", ("bike.name",)),
    Question("frame", "Frame in the catalogue", "text", ("bike.frame",)),
    Question("mount", "What holds the head of the shock", "word", ("bike.mount",)),
    Question("size", "Size, length x stroke (several approved ones: ';' between)", "sizes",
             ("bike.sizes",)),
    *_mount("head", EYELET),
    Question("head-width", "Head end: width between the trunnion bolts", "number",
             ("bike.head.trunnion_width_mm",), TRUNNION),
    Question("head-thread", "Head end: thread of the trunnion bolts", "word",
             ("bike.head.trunnion_thread",), TRUNNION),
    Question("head-protrusion", "Head end: thread that enters the shock", "number",
             ("bike.head.bolt_protrusion_mm",), TRUNNION),
    *_mount("shaft"),
    Question("axis", "Shaft bolt against head bolt", "word", ("bike.eyelet_axis",)),
    Question("yoke", "Is there a yoke", "word", ("bike.yoke",)),
    Question("stroke", "Shock stroke that the frame's travel belongs to", "number",
             ("bike.leverage.stroke_mm",)),
    Question("travel", "Travel of the rear wheel", "number", ("bike.leverage.travel_mm",)),
    Question("leverage", "Leverage ratio, start to end", "ends",
             ("bike.leverage.ratio_start", "bike.leverage.ratio_end")),
    Question("wheel", "Wheel size: 29, 27.5, 26 or the bead seat in mm", "seat",
             ("bike.tyre.bead_seat_mm",)),
    Question("tyre", "Width of the tyre", "number", ("bike.tyre.width_mm",)),
    Question("tyre-gap", "Gap between tyre and frame, bottomed", "number", ("bike.tyre.gap_mm",)),
    Question("tyre-eye", "Eye to eye at that moment", "number", ("bike.tyre.gap_eye_to_eye_mm",)),
    Question("tyre-side", "Room beside the tyre", "number", ("bike.tyre.side_room_mm",)),
    Question("room", "Room about the shock was measured", "word", ("bike.room.measured",)),
    *_room(),
    Question("coil", "Does the maker allow a coil shock", "word", ("bike.allows.coil",)),
    Question("remote", "Can a remote's cable be led to the shock", "word", ("bike.allows.remote",)),
    Question("linkage-stop", "Shock compression at which the linkage stops", "number",
             ("bike.linkage_stop_mm",)),
    Question("mass-limit", "Highest mass the frame's maker allows", "number",
             ("bike.limits.rider_mass_kg",)),
    Question("mass-basis", "That mass is of", "word", ("bike.limits.rider_mass_basis",)),
    Question("shock", "Part number of the shock fitted now", "text",
             ("bike.present_shock.part_number",)),
    Question("spacers", "Volume spacers in it", "number", ("bike.present_shock.volume_spacers",)),
    Question("spring", "Rate of its coil", "number",
             ("bike.present_shock.spring_rate_n_per_mm",)),
    Question("condition", "Its condition", "word", ("bike.present_shock.condition",)),
    *_sleeve("head", EYELET),
    *_sleeve("shaft"),
    Question("rider", "Rider's name", "text", ("rider.name",)),
    Question("mass", "Rider's mass with kit", "number", ("rider.mass_with_kit_kg",)),
    Question("taste", "How shall the damping feel", "word", ("rider.taste",)),
    Question("tools", "Tools at hand (';' between, or 'none')", "list", ("rider.tools",),
             accepted=words.TOOLS),
    Question("wanted-travel", "Travel that would do", "range", ("wishes.travel_mm",)),
    Question("sag", "Sag to aim at, per cent of the stroke", "number",
             ("wishes.sag_target_percent",)),
    Question("budget", "The most it may cost in all", "most", ("wishes.budget",)),
    Question("days", "The most days it may take", "most", ("wishes.days",)),
    Question("adjusters", "Adjusters that must be there (';' between)", "list",
             ("wishes.adjusters",), accepted=ADJUSTERS),
)  # fmt: skip
BY_NAME = {question.name: question for question in QUESTIONS}
