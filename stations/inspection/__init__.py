"""Inspection: another pair of eyes, and the two measurements that guard against shock."""
