"""The verdict: from readings and limits to a word, its grounds and its reasons. Pure."""
