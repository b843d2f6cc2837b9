"""Keeping the record: one file, append-only evidence, nothing acknowledged is ever lost."""
