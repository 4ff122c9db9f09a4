"""The invented demonstration catalogue, a table a module; `catalogs/make.py` writes it."""
