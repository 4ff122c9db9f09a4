"""Making a certificate of an answer: every claim with what its reader needs to check it."""
