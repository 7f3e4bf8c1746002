"""Answers for others: JSON documents, cards, labels, comparisons."""
