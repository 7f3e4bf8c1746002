"""The recipe as masses, resolved against the rulebook: read, written, scaled."""
