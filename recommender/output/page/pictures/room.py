"""The shock in the room that the frame leaves it, drawn to scale from the side and from above."""

from collections.abc import Iterator

from markupsafe import Markup

from recommender.answer.answer import Case
from recommender.answer.graphs import RoomDrawing, Zone, room_drawing
from recommender.answer.numbers import number
from recommender.answer.records import Answer
from recommender.output.page.drawing import Board, Scale
from recommender.output.page.pictures.picture import Picture

THIRDS = ("head", "middle", "shaft")
VIEWS = (("from the side", "up", "down"), ("from above", "left", "right"))


def room(case: Case, made: Answer) -> Iterator[Picture]:
    """The first bundle's shock, where there is one."""
    if case.order:
        name, drawing = made.bundles[0].shock, room_drawing(case.order[0][0])
        yield Picture(
            "In its room",
            f"{name} from the head mount (left) to the shaft mount, to scale; the hatched line is "
            "the frame's room, numbers are the clearance left; "
            f"{number(drawing.wanted_mm, 'mm')} mm are wanted."
            + (" '?': the room or the body is not measured." if _unknown(drawing) else ""),
            _drawn(drawing, name),
        )


def _drawn(drawing: RoomDrawing, name: str) -> Markup:
    """Both views; every zone tells the air left, or that it is not known."""
    left, right, head = 18.0, 18.0, 62.0
    width = 640.0
    scale = (width - left - right) / drawing.length_mm
    top, places = -18.0, []
    for _, over, under in VIEWS:
        places.append(top + head + _reach(drawing, over) * scale)
        top = places[-1] + _reach(drawing, under) * scale
    board = Board(
        f"{name} in its room, to scale",
        "Air at each zone: " + "; ".join(_told(zone) for zone in drawing.zones),
        width, top + 14,
    )  # fmt: skip
    along = Scale(0.0, drawing.length_mm, left, width - right)
    for middle, (view, over, under) in zip(places, VIEWS, strict=True):
        board.words((left, middle - _reach(drawing, over) * scale - 22), view, "label")
        _view(board, drawing, along, middle, scale, (over, under))
    return board.svg()


def _reach(drawing: RoomDrawing, side: str) -> float:
    """How far from the shock's axis anything is drawn on that side, mm."""
    drawn = [
        one for zone in drawing.zones if zone.side == side
        for one in (zone.room_mm, zone.body_mm) if one is not None
    ]  # fmt: skip
    return max([*drawn, drawing.coil_radius_mm or 0.0, 15.0])


def _unknown(drawing: RoomDrawing) -> bool:
    return any(_air(zone) == "?" for zone in drawing.zones)


def _view(
    board: Board, drawing: RoomDrawing, along: Scale, middle: float, scale: float,
    sides: tuple[str, str],
) -> None:  # fmt: skip
    zones = {(zone.third, zone.side): zone for zone in drawing.zones}
    third = drawing.length_mm / 3
    for k, name in enumerate(THIRDS):
        x1, x2 = along.at(k * third), along.at((k + 1) * third)
        for side, sign in zip(sides, (-1, 1), strict=True):
            zone = zones[name, side]
            if zone.room_mm is not None:
                edge = middle + sign * zone.room_mm * scale
                board.line((x1, edge), (x2, edge), "wall")
                _hatch(board, x1, x2, edge, sign)
            if zone.body_mm is not None:
                board.box((x1, middle), (x2, middle + sign * zone.body_mm * scale), "body")
    if drawing.coil_radius_mm is not None:
        radius = drawing.coil_radius_mm * scale
        board.box(
            (along.at(third), middle - radius), (along.at(3 * third), middle + radius), "coil"
        )
    board.line((along.start, middle), (along.end, middle), "centre")
    for at in (0.0, drawing.length_mm):
        board.mark((along.at(at), middle), "ring", 8, "eye")
    for k, name in enumerate(THIRDS):
        x = along.at((k + 0.5) * third)
        for side, sign in zip(sides, (-1, 1), strict=True):
            zone = zones[name, side]
            body = (zone.body_mm or 0.0) * scale
            text = _air(zone)
            tight = zone.air_low_mm < drawing.wanted_mm
            inside = middle + sign * max(body - 16.0, 14.0)
            board.words(
                (x, inside + 4), f"{side} {text}", "zone-tight" if tight else "zone", "middle"
            )


def _hatch(board: Board, x1: float, x2: float, edge: float, sign: int) -> None:
    """Short strokes outside the wall, as on a drawing."""
    x = x1 + 4
    while x < x2 - 6:
        board.line((x, edge), (x + 6, edge + sign * 6), "hatch")
        x += 12


def _air(zone: Zone) -> str:
    if zone.air_high_mm - zone.air_low_mm > 60:
        return "?"
    low, high = number(zone.air_low_mm, "mm"), number(zone.air_high_mm, "mm")
    return f"{low} mm" if low == high else f"{low} to {high} mm"


def _told(zone: Zone) -> str:
    air = _air(zone)
    return f"{zone.third} third {zone.side} {'not known' if air == '?' else air}"
