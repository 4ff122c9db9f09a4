"""One self-contained HTML page per answer."""
