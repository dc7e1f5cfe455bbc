"""What is printed on paper. Only this room makes PDF."""
