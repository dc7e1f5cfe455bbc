"""Photos and thermal grids: the only room besides the tags that opens a picture file."""
