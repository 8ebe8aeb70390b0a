"""What a complaint did to an index, and how a lift came back after it."""
