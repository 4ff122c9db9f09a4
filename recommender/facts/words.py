"""The closed lists of words that fields may take: the trade's plain terms, each once."""

MOUNTS = ("eyelet", "trunnion")
EYES = ("bushing", "bearing")
AXES = ("parallel", "crosswise")
SPRING_KINDS = ("air", "coil")
CLASSES = ("light", "medium", "firm")
LOCKOUTS = ("none", "light", "medium", "firm")
YES_NO = ("no", "yes")
KIT_KINDS = ("sleeve", "bearing axle", "trunnion bolts")
BUSHINGS = ("none", "push-fit polymer", "pressed metal-backed")
THREADS = ("m8x1", "m8x1.25", "m10x1", "m10x1.25", "m10x1.5", "m12x1")
BASES = ("rider", "rider with kit", "whole system")
TASTES = ("plush", "neutral", "firm")
ROOM_MEASURED = ("whole travel", "extended")
PLACES = ("home", "workshop")
WEAR = ("good", "worn")
STANDINGS = ("assumed", "measured")
ENDS = ("head", "shaft")
SIDES = ("up", "down", "left", "right")
THIRDS = ("head third", "middle third", "shaft third")
TOOLS = (
    "hex keys", "torque wrench", "shock pump", "bushing tool", "bushing press", "eyelet driver",
    "air can tool", "bearing press", "spring scale",
)  # fmt: skip
