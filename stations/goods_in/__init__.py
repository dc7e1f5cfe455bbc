"""Goods-in: what came, in what state, and whether it is safe to reach in."""
