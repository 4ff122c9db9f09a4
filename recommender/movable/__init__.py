"""An answer laid out so that whoever holds it can move wishes and weights without asking again."""
