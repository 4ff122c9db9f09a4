"""Files written whole or not at all, and data in the cells of exported tables."""
