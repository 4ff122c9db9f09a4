"""The pictures of an answer, one a file: each with its caption."""
