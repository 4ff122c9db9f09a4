"""Answers as frozen records: what the terminal prints, the page shows and JSON carries."""
