"""The screens of the heat run: one run as it is watched, all runs side by side, the rigs."""
