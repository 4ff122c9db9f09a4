"""Texts of data in the cells of an exported table."""

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""What a spreadsheet takes for the beginning of a formula."""


def guarded(text: str) -> str:
    """The text so that no spreadsheet takes it for a formula; plain numbers stay numbers."""
    if not text.startswith(FORMULA_STARTS) and not text.lstrip().startswith(FORMULA_STARTS):
        return text
    try:
        float(text)
    except ValueError:
        return "'" + text
    return text
