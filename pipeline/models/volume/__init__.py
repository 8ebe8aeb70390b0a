"""Weekly sets and progress: a concave response, pooled over muscles and lifters, and the trend."""
