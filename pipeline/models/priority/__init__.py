"""What priority phases bought their muscles and cost the others, and finding them unaided."""
