"""What a command's exit code says."""

ANSWERED, NOTHING_FITS, BAD_INPUT, INTERRUPTED = 0, 1, 2, 130
