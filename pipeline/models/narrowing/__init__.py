"""What further training would tell: the interval expected after a block, or after years."""
