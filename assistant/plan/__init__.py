"""Judgement: which swaps, how much, in which order, what must come along."""
