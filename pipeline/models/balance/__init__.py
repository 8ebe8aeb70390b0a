"""Two sides of the body against each other: weekly sets, and strength against the own start."""
