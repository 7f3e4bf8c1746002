"""Published check values, as data, and what compares the laws with them."""
