"""The commands, thin: read, ask the middle, show."""
