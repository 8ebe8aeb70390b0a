"""What comes next: drift of a level drawn toward a group's, with the interval of people unseen."""
