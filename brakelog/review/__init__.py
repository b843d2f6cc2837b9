"""The questions that readings raise about themselves: slips, swaps, growth, odometers."""
