"""What is known about bike, rider, wishes and parts, and how well it is known."""
