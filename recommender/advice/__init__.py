"""Asking for a bike's facts, judging a find, and what to change before buying anything."""
