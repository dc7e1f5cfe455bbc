"""What the incoming shift has to know: gathered unit by unit when something is entered, put in order when asked."""
