"""Commands: parse, call one function of the workshop, hand the result to a report."""
