"""How close to failure sets are taken, against what followed."""
