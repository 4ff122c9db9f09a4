"""The invented shock makers and their models.

Price, mass and eye figures are of the usual order for such shocks [mem]; no row repeats a real
product. Sizes: metric eyelet, trunnion 25 mm shorter for the same stroke, and inch-derived ones
given in mm to 0.1 [cp].
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

Size = tuple[float, float]


def _sizes(text: str) -> tuple[Size, ...]:
    """'210x50,52.5' -> ((210, 50), (210, 52.5))."""
    out: list[Size] = []
    for family in text.split():
        length, strokes = family.split("x")
        out += [(float(length), float(stroke)) for stroke in strokes.split(",")]
    return tuple(out)


@dataclass(frozen=True)
class Model:
    """One model of a maker over its sizes. `settings`: it may be shortened by internal spacers."""

    maker: str
    name: str
    code: str
    damper: str
    price: tuple[int, int]
    mass: tuple[int, int]
    eyelet: tuple[Size, ...] = ()
    trunnion: tuple[Size, ...] = ()
    coil: bool = False
    low_speed: bool = False
    high_speed: bool = False
    lever: bool = False
    remote: bool = False
    reservoir: bool = False
    bearing: bool = False
    settings: bool = False
    crosswise: bool = False
    eye_bore: float = 15.0
    sleeve: float = 12.7
    psi: tuple[int, int] = (60, 300)
    mass_limit: int = 130
    tunes: Mapping[str, float] = field(
        default_factory=lambda: {"light": 2.0, "medium": 6.0, "firm": 2.0}
    )


MODELS = (
    Model(
        "Valdreth", "Sundry", "VS", "Valdreth plain", (330, 420), (300, 390),
        _sizes("190x40,42.5,45 210x50,52.5,55"), _sizes("165x42.5,45 185x50,55"), lever=True,
    ),
    Model(
        "Valdreth", "Tallow", "VT", "Valdreth reservoir", (560, 680), (440, 560),
        _sizes("210x50,55 230x60,65"), _sizes("185x52.5,55 205x60,65"),
        low_speed=True, lever=True, reservoir=True, psi=(70, 325), mass_limit=140,
    ),
    Model(
        "Valdreth", "Tallow coil", "VTC", "Valdreth reservoir", (600, 720), (480, 620),
        _sizes("210x52.5 230x60,65 250x75"), _sizes("205x62.5,65"),
        coil=True, low_speed=True, lever=True, reservoir=True, mass_limit=140,
    ),
    Model(
        "Mirkholt", "Lunt", "ML", "Mirkholt plain", (250, 310), (320, 430),
        _sizes("165.1x38.1 184.2x44.5 190.5x50.8 200x50.8,57.2 215.9x63.5 190x45 210x50"),
        psi=(50, 275), mass_limit=115,
    ),
    Model(
        "Mirkholt", "Brack coil", "MB", "Mirkholt plain", (270, 340), (520, 650),
        _sizes("190.5x50.8 200.7x50.8 215.9x63.5 222.3x69.9 241.3x76.2 266.7x88.9 210x50 230x57.5"),
        coil=True, mass_limit=120,
    ),
    Model(
        "Sorvane", "Niddle", "SN", "Sorvane plain", (380, 480), (310, 410),
        _sizes("190x37.5,45 210x47.5,50,52.5 230x57.5,60,65 250x70,75"), lever=True, mass_limit=125,
    ),
    Model(
        "Sorvane", "Niddle deep", "SD", "Sorvane reservoir", (540, 640), (430, 540),
        (), _sizes("165x40 185x47.5,52.5 205x57.5,62.5 225x70,75"),
        low_speed=True, lever=True, reservoir=True, psi=(60, 325),
    ),
    Model(
        "Ostrelund", "Aune", "OA", "Ostrelund twin", (760, 890), (500, 640),
        _sizes("210x55 230x65 250x75"), _sizes("185x55 205x65 225x75"), low_speed=True,
        high_speed=True, lever=True, reservoir=True, settings=True, psi=(80, 350), mass_limit=150,
    ),
    Model(
        "Ostrelund", "Aune coil", "OAC", "Ostrelund twin", (780, 900), (520, 640),
        _sizes("230x65 250x75"), _sizes("205x65 225x75"), coil=True, low_speed=True,
        high_speed=True, lever=True, reservoir=True, settings=True, mass_limit=150,
    ),
    Model(
        "Hadrune", "Pellow", "HP", "Hadrune slim", (420, 520), (300, 350),
        _sizes("165.1x38.1 190x37.5,40,45 200x51 210x47.5,50"), _sizes("165x37.5,40,45 185x50"),
        lever=True, remote=True, psi=(70, 350), mass_limit=115,
        tunes={"light": 1.0, "medium": 6.0, "firm": 3.0},
    ),
    Model(
        "Ubbeck", "Vetch", "UV", "Ubbeck plain", (340, 430), (330, 450),
        _sizes("184.2x44.5 200x57.2 215.9x63.5 216x63 222.3x66,69.9 210x52.5 230x62.5"),
        eye_bore=16.0, psi=(50, 300),
    ),
    Model(
        "Ubbeck", "Vetch coil", "UVC", "Ubbeck plain", (390, 470), (500, 600),
        _sizes("215.9x63.5 222.3x66 230x62.5 250x72.5"), coil=True, low_speed=True, eye_bore=16.0,
    ),
    Model(
        "Tovasken", "Rill", "TR", "Tovasken reservoir", (470, 590), (400, 520),
        _sizes("210x50,52.5,55 230x57.5,60,62.5,65"),
        _sizes("185x50,52.5,55 205x57.5,60,62.5,65"), low_speed=True, reservoir=True,
        psi=(70, 325), mass_limit=135,
    ),
    Model(
        "Tovasken", "Rill coil", "TRC", "Tovasken reservoir", (500, 600), (470, 590),
        _sizes("210x50 230x57.5,60"), _sizes("185x55 205x60,65 225x70"), coil=True, low_speed=True,
        lever=True, reservoir=True, mass_limit=135,
    ),
    Model(
        "Quillomar", "Sedge", "QS", "Quillomar reservoir", (610, 740), (430, 550),
        _sizes("230x60,65"), _sizes("185x50,55 205x60,65 225x67.5,75"), low_speed=True, lever=True,
        reservoir=True, bearing=True, psi=(70, 325), mass_limit=140,
    ),
    Model(
        "Brennaske", "Dray", "BD", "Brennaske reservoir", (520, 660), (500, 690),
        _sizes("230x62.5,65 250x67.5,72.5,75 241.3x76.2 266.7x88.9"), _sizes("225x70,72.5"),
        low_speed=True, high_speed=True, reservoir=True, psi=(60, 325), mass_limit=150,
        tunes={"light": 1.0, "medium": 5.0, "firm": 4.0},
    ),
    Model(
        "Brennaske", "Dray coil", "BDC", "Brennaske reservoir", (540, 660), (540, 650),
        _sizes("230x65 250x70,75 241.3x76.2"), _sizes("205x65 225x75"), coil=True,
        low_speed=True, high_speed=True, reservoir=True, mass_limit=150,
    ),
    Model(
        "Yndrelle", "Pawl", "YP", "Yndrelle plain", (360, 450), (320, 420),
        _sizes("190x45 210x50 230x60"), _sizes("185x52.5"), lever=True, crosswise=True,
    ),
)  # fmt: skip
