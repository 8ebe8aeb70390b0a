"""The page Next phase: proposals with their sentences, pictures, sheets to train by and tables."""
