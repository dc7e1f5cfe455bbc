"""Component work: fit what the work list says, and leave it ready to be inspected."""
