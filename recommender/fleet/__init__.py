"""A fleet: the fewest parts that serve every bike, proved; the spares to keep; the rollout."""
