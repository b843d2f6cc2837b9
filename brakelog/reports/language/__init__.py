"""Languages of what a customer reads: one catalogue of sentences for each, and its formats."""
