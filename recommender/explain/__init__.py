"""Why and what then: corrections, conflicts, least amounts, doubt. Values only, no prose."""
