"""Showing an answer: words, terminal, JSON and files. Nothing here computes a verdict."""
