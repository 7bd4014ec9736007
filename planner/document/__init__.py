"""The document: what the user decided and measured, and what follows from it."""
