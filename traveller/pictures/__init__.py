"""Photos and thermal grids: the only room besides the tags that opens a picture file.

A photo as it is kept, and a photo as characters; a grid from a camera's file, and its map.
"""
