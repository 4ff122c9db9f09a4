"""From facts to every verdict: margins, groups of choices, two bit sets a completion, bundles."""
