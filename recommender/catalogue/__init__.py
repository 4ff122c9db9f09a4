"""Reading, checking and describing a catalogue: typed columns, never a row as an object."""
