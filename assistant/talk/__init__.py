"""The conversation: what was typed, what is answered, and how it is said."""
