"""The nouns of the trade as plain values: no SQL, no files, no terminal, no clock."""
