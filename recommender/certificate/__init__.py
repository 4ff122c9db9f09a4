"""Re-checking a saved answer claim by claim, by code that shares nothing with the search."""
