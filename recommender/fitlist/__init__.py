"""A fit list: every bike of many against every shock of a catalogue, streamed to disk."""
