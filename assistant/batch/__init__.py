"""Many recipes: converted side by side, written as they come, and gone on with after a break."""
