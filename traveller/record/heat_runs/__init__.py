"""The heat run: its plan, its readings, the hold, what is wrong with its input, and its verdict. Pure."""
